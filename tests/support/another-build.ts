import {
  cpSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { basename, dirname, extname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { buildAssets } from '@/server/setup/build-screens.mjs'
import { bundleServiceWorker } from '@/server/setup/bundle-workers.mjs'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))
const PROGRAM = ['app', 'demo', 'drizzle', 'lib', 'server', 'next.config.ts', 'package.json', 'tsconfig.json']
/** Of the built screens, what a server reads. */
const LEFT_OUT = ['cache', 'diagnostics', 'trace', 'trace-build', 'turbopack', 'types']
const TEXTS = ['.js', '.json', '.html', '.rsc', '.css', '.map', '.txt']

/**
 * The program in a folder of its own with another build of the screens: no file of a page has its former name, so whoever asks the server for one of
 * before gets nothing, as after a real build. The pages look the same. `root`: where it is. Remove it by `dispose`.
 */
export async function anotherBuild(name: string): Promise<{ root: string; dispose: () => void }> {
  const root = mkdtempSync(join(tmpdir(), 'stagecall-build-'))
  for (const part of PROGRAM) cpSync(join(ROOT, part), join(root, part), { recursive: true })
  symlinkSync(join(ROOT, 'node_modules'), join(root, 'node_modules'))
  const built = join(root, '.next')
  cpSync(join(ROOT, '.next'), built, {
    recursive: true,
    verbatimSymlinks: true,
    filter: (from) => !(dirname(from) === join(ROOT, '.next') && LEFT_OUT.includes(basename(from))),
  })
  renameFiles(built, name)
  const script = await bundleServiceWorker(root, { name, assets: buildAssets(root) })
  writeFileSync(join(built, 'stagecall-service-worker.js'), script)
  return { root, dispose: () => rmSync(root, { recursive: true, force: true }) }
}

/** Every built file by another name of the same length, and all that speaks of it. */
function renameFiles(built: string, name: string): void {
  const was = readFileSync(join(built, 'BUILD_ID'), 'utf8').trim()
  const names = new Map([[was, name]])
  for (const { parentPath, name: file } of filesIn(join(built, 'static'))) {
    const [stem = ''] = file.split('.')
    if (basename(parentPath) === 'chunks') names.set(stem, otherName(stem))
    const folder = basename(parentPath)
    if (folder.startsWith('workers-')) names.set(folder, otherName(folder))
  }
  const any = new RegExp([...names.keys()].map((n) => n.replace(/[-.]/g, '\\$&')).join('|'), 'g')
  const renamed = (text: string) => text.replace(any, (found) => names.get(found) ?? found)
  for (const { parentPath, name: file } of filesIn(built)) {
    const path = join(parentPath, file)
    if (TEXTS.includes(extname(file)) || file === 'BUILD_ID') {
      const before = readFileSync(path, 'utf8')
      const after = renamed(before)
      if (after !== before) writeFileSync(path, after)
    }
    if (renamed(file) !== file) renameSync(path, join(parentPath, renamed(file)))
  }
  for (const folder of readdirSync(join(built, 'static')))
    if (renamed(folder) !== folder)
      renameSync(join(built, 'static', folder), join(built, 'static', renamed(folder)))
}

/** One chunk in thirteen hundred ends in these letters by itself: under its former name with other contents, browsers would take the one that they have. */
const otherName = (name: string) => name.slice(0, -2) + (name.endsWith('zz') ? 'yy' : 'zz')

const filesIn = (folder: string) =>
  readdirSync(folder, { recursive: true, withFileTypes: true }).filter((e) => e.isFile())
