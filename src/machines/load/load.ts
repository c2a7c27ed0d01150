/** The load model in one place: engagement, chip, force, feed and removal rate. */
export * from './chip.js';
export * from './engagement.js';
export * from './feed.js';
export * from './force.js';
export * from './chip.js';
export * from './feed.js';
