/** Ways in which a browser keeps nothing: it has no database, it refuses one, or it never answers. */
export const KEEPS_NOTHING = {
  none: () => Object.defineProperty(globalThis, 'indexedDB', { value: undefined }),
  refused: () => {
    IDBFactory.prototype.open = () => {
      throw new DOMException('not allowed here', 'SecurityError');
    };
  },
  silent: () => {
    IDBFactory.prototype.open = () => ({}) as IDBOpenDBRequest;
  },
} as const;

/** What the page says then. */
export const KEPT_NOWHERE =
  'This browser keeps nothing for this page: save the job before you close it.';
