/** One build of the screens, as its service worker knows it. */
export interface Build {
  name: string
  /** Each file that its pages may ask for, by path, with its integrity (W3C Subresource Integrity). */
  assets: Readonly<Record<string, string>>
}

const PREFIX = 'stagecall-'
export const cacheOf = (build: string): string => PREFIX + build
export const isBuildCache = (cache: string): boolean => cache.startsWith(PREFIX)
/** The Web Lock that every open page of a build shares: whoever wants to know whether old pages are still open looks who holds it. */
export const lockOf = (build: string): string => PREFIX + build

/** What a page tells a service worker. */
export type PageMessage =
  /** To the active one: the page is loaded and of your build. */
  | { kind: 'here' }
  /** Have these pages ready for a time without network; answered through the port that comes along. */
  | { kind: 'keep'; paths: readonly string[] }
export interface KeepAnswer {
  kept: boolean
}
