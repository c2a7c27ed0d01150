/** Entry of the worker: plans off the page's own thread. */
import { type WorkerScope, serve } from './serve.js';

/** The global scope is a worker's here, not a window's. */
declare const self: WorkerScope;

serve(self);
