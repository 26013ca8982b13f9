import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { afterEach, beforeEach, expect, test } from 'vitest'
import { bundleServer } from '@/server/setup/bundle-server.mjs'

let root: string
beforeEach(() => {
  root = mkdtempSync(join(tmpdir(), 'stagecall-bundle-'))
  for (const folder of ['server/admin', 'lib']) mkdirSync(join(root, folder), { recursive: true })
  write('server/main.ts', `import { word } from '../lib/word'\nexport const said: string = word\n`)
  write('server/admin/run-admin.ts', 'export const where: string = import.meta.url\n')
  write('lib/word.ts', `export const word = 'first'\n`)
})
afterEach(() => rmSync(root, { recursive: true, force: true }))
const write = (path: string, text: string) => writeFileSync(join(root, path), text)
const load = (folder: string, name: string): Promise<Record<string, unknown>> =>
  import(/* @vite-ignore */ pathToFileURL(join(folder, `${name}.mjs`)).href)

test('one script for each thing that is run, whole, also of a copy without the demo', async () => {
  const folder = await bundleServer(root)
  expect(
    readdirSync(folder)
      .filter((f) => f.endsWith('.mjs'))
      .sort(),
  ).toEqual(['admin.mjs', 'main.mjs'])
  expect((await load(folder, 'main'))['said']).toBe('first')
})

test('it is made again after a change, and only then', async () => {
  const first = await bundleServer(root)
  expect(await bundleServer(root)).toBe(first)
  write('lib/word.ts', `export const word = 'second'\n`)
  const second = await bundleServer(root)
  expect(second).not.toBe(first)
  expect((await load(second, 'main'))['said']).toBe('second')
})

test('two starts at once end with one bundle', async () => {
  const [a, b] = await Promise.all([bundleServer(root), bundleServer(root)])
  expect(a).toBe(b)
  expect(readdirSync(join(a, '..'))).toHaveLength(1)
})

test('a source finds what lies beside it, wherever the bundle is', async () => {
  const { where } = await load(await bundleServer(root), 'admin')
  expect(where).toBe(pathToFileURL(join(root, 'server', 'admin', 'run-admin.ts')).href)
})

test('what does not parse is an error, and leaves nothing behind', async () => {
  write('lib/word.ts', 'export const word = (')
  await expect(bundleServer(root)).rejects.toThrow(/word\.ts/)
  expect(readdirSync(join(root, 'node_modules', '.stagecall-server'))).toEqual([])
})
