import { readFileSync } from 'node:fs'
import type { ServerResponse } from 'node:http'
import { join } from 'node:path'
import { parseUrl } from './http/request-listener'

/** Answers for the scripts that run beside the pages and are no static files; false for every other address. */
export type WorkerScripts = (target: string | undefined, res: ServerResponse) => Promise<boolean>

export const SERVICE_WORKER_PATH = '/sw.js'
const TYPES: Record<string, string> = { js: 'text/javascript; charset=utf-8', wasm: 'application/wasm' }

/**
 * The service worker of the build, read once. Its address names the build that asks: a page of another build gets none, keeps the worker that it has,
 * and what is kept for two builds never mixes.
 */
export function builtScripts(root: string, build: string): WorkerScripts {
  const script = readFileSync(join(root, '.next', 'stagecall-service-worker.js'))
  return async (target, res) => {
    const url = parseUrl(target)
    if (url?.pathname !== SERVICE_WORKER_PATH) return false
    if (url.searchParams.get('build') === build) send(res, 200, 'js', script)
    else send(res, 404, 'js', '// This build is no longer served here.\n')
    return true
  }
}

/** While developing: all of them, bundled anew for each request. A service worker made so keeps nothing. */
export async function devScripts(root: string): Promise<WorkerScripts> {
  const { bundleServiceWorker, bundleWorkers, DEV_WORKERS } = await import('./setup/bundle-workers.mjs')
  return async (target, res) => {
    const path = parseUrl(target)?.pathname ?? ''
    if (path === SERVICE_WORKER_PATH)
      send(res, 200, 'js', await bundleServiceWorker(root, { name: '', assets: {} }))
    else if (path.startsWith(`${DEV_WORKERS}/`)) {
      const name = path.slice(DEV_WORKERS.length + 1)
      const found = (await bundleWorkers(root, { isForDevelopment: true })).files.get(name)
      send(res, found ? 200 : 404, name.split('.').at(-1) ?? '', found ?? '')
    } else return false
    return true
  }
}

function send(res: ServerResponse, status: number, ending: string, content: string | Uint8Array): void {
  res.writeHead(status, {
    'Content-Type': TYPES[ending] ?? 'text/plain; charset=utf-8',
    'Cache-Control': 'no-cache',
  })
  res.end(content)
}
