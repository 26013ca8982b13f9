/** The background workers: `app/**` has one `<name>-worker.ts` for each. */
export const WORKERS = [
  'long-facts',
  'needed',
  'overview',
  'plan',
  'projection',
  'season',
  'solver',
  'what-if',
] as const
export type ThreadName = (typeof WORKERS)[number]

/**
 * Start a background worker. Each is one whole script at an address of its own: what it runs depends on nothing that a cache may drop or mix up, as the
 * part behind `#` is.
 */
export const startThread = (name: ThreadName): Worker =>
  new Worker(`${process.env['STAGECALL_WORKERS']}/${name}-worker.js`, { name })
