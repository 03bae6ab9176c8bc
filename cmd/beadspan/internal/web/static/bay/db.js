// The phone's own database. known: what the server told of each study, dropped
// at will. drafts: visits being logged. queue: what was logged and is, or was,
// to be sent; nothing leaves it before the server has answered for it.
const opened = new Promise((resolve, reject) => {
  const opening = indexedDB.open("beadspan", 1);
  opening.onupgradeneeded = () => {
    opening.result.createObjectStore("known", { keyPath: "study" });
    opening.result.createObjectStore("drafts", { keyPath: ["study", "vehicle"] });
    opening.result.createObjectStore("queue", { keyPath: "id" });
  };
  opening.onsuccess = () => resolve(opening.result);
  opening.onerror = () => reject(opening.error);
});

// within runs do on the stores in one transaction, and resolves with its
// result when all of it is on the disk.
const within = async (stores, mode, run) => {
  const db = await opened;
  return new Promise((resolve, reject) => {
    const tx = db.transaction(stores, mode, { durability: "strict" });
    const request = run(...stores.map((name) => tx.objectStore(name)));
    tx.oncomplete = () => resolve(request?.result);
    tx.onabort = tx.onerror = () => reject(tx.error);
  });
};

export const get = (store, key) => within([store], "readonly", (s) => s.get(key));
export const all = (store) => within([store], "readonly", (s) => s.getAll());
export const put = (store, value) => within([store], "readwrite", (s) => s.put(value));
export const remove = (store, key) => within([store], "readwrite", (s) => s.delete(key));

// enqueue puts an entry into the queue and takes the draft it was made of away,
// both or neither.
export const enqueue = (entry, draftKey) =>
  within(["queue", "drafts"], "readwrite", (queue, drafts) => {
    queue.put(entry);
    if (draftKey) drafts.delete(draftKey);
  });

// reopen puts a draft back; from the queue it takes the entry away.
export const reopen = (draft, entryID) =>
  within(["queue", "drafts"], "readwrite", (queue, drafts) => {
    drafts.put(draft);
    if (entryID) queue.delete(entryID);
  });
