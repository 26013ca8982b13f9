import { createHash } from 'node:crypto'
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { dirname, join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { build } from 'esbuild'
import { filesIn } from './files-in.mjs'

/** What is run, by its name in the bundle. The demo may be missing from a copy of the program. */
const ENTRIES = {
  main: 'server/main.ts',
  admin: 'server/admin/run-admin.ts',
  'archive-thread': 'server/archive/archive-thread.ts',
  'demo-seed': 'demo/seed.ts',
  'demo-roster': 'demo/roster.ts',
}
/** Bundles older than this are swept away when a new one is made; a younger one may be about to be loaded. */
const OLD_MS = 86_400_000
/** What the bundle is made of. Screens are not: Next builds those. */
const SOURCES = ['server', 'lib', 'drizzle', 'demo', 'tsconfig.json', 'package-lock.json']

/**
 * The server's TypeScript as one script for each thing that is run, made when its sources have changed since the last time. Gives the folder
 * with `<name>.mjs`. Packages stay packages. @throws where esbuild finds an error.
 */
export async function bundleServer(root) {
  const bundles = join(root, 'node_modules', '.stagecall-server')
  const folder = join(bundles, hashOf(root))
  if (existsSync(folder)) return folder
  mkdirSync(bundles, { recursive: true })
  sweep(bundles)
  // Made aside and named at the end: another start at this moment sees all of it or nothing.
  const aside = mkdtempSync(join(bundles, 'new-'))
  try {
    const entries = Object.entries(ENTRIES).filter(([, path]) => existsSync(join(root, path)))
    const { outputFiles } = await build({
      absWorkingDir: root,
      entryPoints: entries.map(([out, path]) => ({ in: path, out })),
      outdir: aside,
      outExtension: { '.js': '.mjs' },
      bundle: true,
      write: false,
      platform: 'node',
      format: 'esm',
      target: 'node20.19',
      packages: 'external',
      sourcemap: 'linked',
      logLevel: 'warning',
      plugins: [sourceAddresses],
    })
    for (const { path, contents } of outputFiles) writeFileSync(path, contents)
    renameSync(aside, folder)
  } catch (e) {
    rmSync(aside, { recursive: true, force: true })
    // Somebody else's start was first.
    if (!existsSync(folder)) throw e
  }
  return folder
}

function sweep(bundles) {
  for (const old of readdirSync(bundles).map((name) => join(bundles, name)))
    if (Date.now() - statSync(old).mtimeMs > OLD_MS) rmSync(old, { recursive: true, force: true })
}

/** `import.meta.url` stays the address of the source file, beside which it looks for what it needs. */
const sourceAddresses = {
  name: 'source-addresses',
  setup({ onLoad }) {
    onLoad({ filter: /\.ts$/ }, ({ path }) => {
      const text = readFileSync(path, 'utf8')
      if (!text.includes('import.meta.url')) return null
      const contents = text.replaceAll('import.meta.url', JSON.stringify(pathToFileURL(path).href))
      return { contents, loader: 'ts', resolveDir: dirname(path) }
    })
  },
}

/** Names a bundle: of the same sources in the same place, as addresses of files are in it. */
function hashOf(root) {
  const hash = createHash('sha256').update(`${root}\0`)
  for (const source of SOURCES)
    for (const file of filesIn(join(root, source))) hash.update(`${file}\0`).update(readFileSync(file))
  return hash.digest('hex').slice(0, 16)
}
