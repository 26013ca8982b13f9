export const DEV_WORKERS: string
export function workerSources(root: string): Map<string, string>
export function bundleWorkers(
  root: string,
  options?: { isForDevelopment?: boolean },
): Promise<{ base: string; files: Map<string, Uint8Array> }>
export function bundleServiceWorker(
  root: string,
  build: { name: string; assets: Readonly<Record<string, string>> },
): Promise<string>
