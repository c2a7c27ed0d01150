/** The last state of the page, kept by the browser in IndexedDB until the next visit. */

const NAME = 'gullet-bench';
const STORE = 'last';
const KEY = 'job';
/** Longest wait for a browser that does not say whether it keeps anything. ms */
const PATIENCE_MS = 1000;

function opened(): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    setTimeout(() => reject(new Error('no answer')), PATIENCE_MS);
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => request.result.createObjectStore(STORE);
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error ?? new Error('no database'));
    request.onblocked = () => reject(new Error('the database is held by another page'));
  });
}

async function within<T>(
  mode: IDBTransactionMode,
  act: (store: IDBObjectStore) => IDBRequest<T>,
): Promise<T> {
  const database = await opened();
  try {
    return await new Promise<T>((resolve, reject) => {
      const request = act(database.transaction(STORE, mode).objectStore(STORE));
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error ?? new Error('not kept'));
    });
  } finally {
    database.close();
  }
}

/** @returns false where the browser keeps nothing for this page */
export async function keep(state: unknown): Promise<boolean> {
  try {
    await within('readwrite', (store) => store.put(state, KEY));
    return true;
  } catch {
    return false;
  }
}

/** What was kept last; null where there is none or it cannot be had. */
export async function kept(): Promise<unknown> {
  try {
    return (await within('readonly', (store) => store.get(KEY))) ?? null;
  } catch {
    return null;
  }
}
