/** Builds the screens where their sources changed. */
export function setup(): Promise<void>
