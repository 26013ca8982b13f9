import { createHash } from 'node:crypto'
import { readdirSync } from 'node:fs'
import { basename, join } from 'node:path'
import { build } from 'esbuild'

/** Where the background workers stand while developing: bundled anew at each start. */
export const DEV_WORKERS = '/_workers'
const SERVICE_WORKER = join('app', 'offline', 'service-worker.ts')

/** What all of them are: one classic script each, whole, for the browsers that the screens are for. */
const OPTIONS = {
  bundle: true,
  write: false,
  format: 'iife',
  platform: 'browser',
  target: 'es2022',
  // The solver's loader asks for these in Node alone.
  external: ['node:*'],
  loader: { '.wasm': 'file' },
  assetNames: '[name]',
  entryNames: '[name]',
  logLevel: 'warning',
}

/** The screens' background workers by name: every `<name>-worker.ts` in `app`. @throws where two would share an address. */
export function workerSources(root) {
  const found = new Map()
  const paths = readdirSync(join(root, 'app'), { recursive: true }).filter((p) => p.endsWith('-worker.ts'))
  for (const path of paths.map((p) => join('app', p)).sort()) {
    if (path === SERVICE_WORKER) continue
    const name = basename(path, '-worker.ts')
    if (found.has(name))
      throw new Error(`${path} and ${found.get(name)} would share an address. Rename one of them.`)
    found.set(name, path)
  }
  return found
}

/**
 * Bundle the background workers, each into a file of its own, so that what a worker runs follows from its path alone. `base`: the folder that
 * they are served from, named after their content. `files`: their content by file name.
 */
export async function bundleWorkers(root, { isForDevelopment = false } = {}) {
  const entryPoints = [...workerSources(root).values()]
  const { outputFiles } = await build({
    ...OPTIONS,
    absWorkingDir: root,
    entryPoints,
    outdir: join(root, '.next', 'workers'),
    minify: !isForDevelopment,
    define: { 'process.env.NODE_ENV': JSON.stringify(isForDevelopment ? 'development' : 'production') },
  })
  const files = new Map(
    outputFiles.map((f) => [basename(f.path), f.contents]).sort(([a], [b]) => (a < b ? -1 : 1)),
  )
  const hash = createHash('sha256')
  for (const [name, contents] of files)
    hash.update(`${name}\0`).update(createHash('sha256').update(contents).digest())
  const base = `/_next/static/workers-${hash.digest('base64url').slice(0, 12)}`
  return { base: isForDevelopment ? DEV_WORKERS : base, files }
}

/** The service worker of one build as text. `assets`: the integrity of every file of the build by its path. */
export async function bundleServiceWorker(root, { name, assets }) {
  const { outputFiles } = await build({
    ...OPTIONS,
    absWorkingDir: root,
    entryPoints: [SERVICE_WORKER],
    outdir: join(root, '.next', 'workers'),
    minify: name !== '',
    define: { STAGECALL_BUILD: JSON.stringify({ name, assets }) },
  })
  return outputFiles[0].text
}
