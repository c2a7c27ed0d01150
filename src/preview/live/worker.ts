/** Entry of the worker: plans off the page's own thread. */
import { type WorkerScope, serve } from './serve.js';

serve(globalThis as unknown as WorkerScope);
