// The phone's own database. known: what the server told of each study, dropped
// at will. drafts: visits being logged. queue: what was logged and is, or was,
// to be sent; nothing leaves it before the server has answered for it. photos:
// the pictures of the queue's photos, apart from it because they are large.
const opened = new Promise((resolve, reject) => {
  const opening = indexedDB.open("beadspan", 2);
  opening.onupgradeneeded = ({ oldVersion }) => {
    if (oldVersion < 1) {
      opening.result.createObjectStore("known", { keyPath: "study" });
      opening.result.createObjectStore("drafts", { keyPath: ["study", "vehicle"] });
      opening.result.createObjectStore("queue", { keyPath: "id" });
    }
    if (oldVersion < 2) opening.result.createObjectStore("photos", { keyPath: "id" });
  };
  opening.onsuccess = () => {
    opening.result.onversionchange = () => opening.result.close(); // another page has a newer one
    resolve(opening.result);
  };
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

// enqueue puts entries into the queue and takes the draft they were made of
// away, all or nothing.
export const enqueue = (entries, draftKey) =>
  within(["queue", "drafts"], "readwrite", (queue, drafts) => {
    for (const entry of entries) queue.put(entry);
    if (draftKey) drafts.delete(draftKey);
  });

// keepPhoto puts a photo and its picture onto the phone, both or neither.
export const keepPhoto = (entry, bytes) =>
  within(["queue", "photos"], "readwrite", (queue, photos) => {
    photos.put({ id: entry.id, bytes });
    queue.put(entry);
  });

// letPhotoGo writes what became of a photo, or takes it away where nothing did;
// its picture leaves the phone.
export const letPhotoGo = (id, entry = null) =>
  within(["queue", "photos"], "readwrite", (queue, photos) => {
    photos.delete(id);
    if (entry) queue.put(entry);
    else queue.delete(id);
  });

// reopen puts a draft back; from the queue it takes the entry away.
export const reopen = (draft, entryID) =>
  within(["queue", "drafts"], "readwrite", (queue, drafts) => {
    drafts.put(draft);
    if (entryID) queue.delete(entryID);
  });
