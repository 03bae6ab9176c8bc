// Asks the device for a passkey: a new one, or a signature to sign in by.
const form = document.querySelector("form[data-passkey]");
const fails = form.querySelector("[role=alert]");

// ask sends a request and gives what came back.
const ask = async (address, body) => {
  const answer = await fetch(address, { method: "POST", body, headers: body ? { "Content-Type": "application/json" } : {} });
  if (!answer.ok) throw new Error(`${address}: ${answer.status}`);
  return answer.json();
};

const make = async () => {
  const { publicKey } = await ask("/passkeys/begin");
  const made = await navigator.credentials.create({ publicKey: PublicKeyCredential.parseCreationOptionsFromJSON(publicKey) });
  const label = encodeURIComponent(form.elements.label.value);
  return ask(`/passkeys?label=${label}`, JSON.stringify(made.toJSON()));
};

const signIn = async () => {
  const { publicKey } = await ask("/sign-in/passkey/begin");
  const signed = await navigator.credentials.get({ publicKey: PublicKeyCredential.parseRequestOptionsFromJSON(publicKey) });
  const next = encodeURIComponent(form.elements.next.value);
  return ask(`/sign-in/passkey?next=${next}`, JSON.stringify(signed.toJSON()));
};

// A device that can't is not asked: its people sign in by password.
if (globalThis.PublicKeyCredential?.parseRequestOptionsFromJSON) {
  form.hidden = false;
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    fails.hidden = true;
    try {
      const { to } = await (form.dataset.passkey === "make" ? make() : signIn());
      location.assign(to);
    } catch {
      fails.hidden = false; // also when the person has thought better of it
    }
  });
}
