import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { startThread, WORKERS } from '@/app/threads/start-thread'
import { bundleServiceWorker, bundleWorkers, workerSources } from '@/server/setup/bundle-workers.mjs'

const root = fileURLToPath(new URL('../../..', import.meta.url))
let folder: string
beforeEach(() => void (folder = mkdtempSync(join(tmpdir(), 'stagecall-workers-'))))
afterEach(() => rmSync(folder, { recursive: true }))

describe('background workers', () => {
  it('are opened by the names that there are', () => {
    expect([...workerSources(root).keys()].sort()).toEqual([...WORKERS])
  })

  it('are opened nowhere else, so that each has an address of its own without a part that caches drop', () => {
    const opened: string[] = []
    vi.stubGlobal('Worker', function (address: string) {
      opened.push(address)
    })
    for (const name of WORKERS) startThread(name)
    vi.unstubAllGlobals()
    expect(new Set(opened).size).toBe(WORKERS.length)
    for (const address of opened) expect(address).toMatch(/\/[a-z-]+-worker\.js$/)
    const sources = readdirSync(join(root, 'app'), { recursive: true, encoding: 'utf8' }).filter((p) =>
      /\.tsx?$/.test(p),
    )
    const openers = sources.filter((p) =>
      /new (Shared)?Worker\(/.test(readFileSync(join(root, 'app', p), 'utf8')),
    )
    expect(openers).toEqual([join('threads', 'start-thread.ts')])
  })

  it('that would share an address are refused when they are built', () => {
    for (const room of ['one', 'two']) {
      mkdirSync(join(folder, 'app', room), { recursive: true })
      writeFileSync(join(folder, 'app', room, 'lap-worker.ts'), '')
    }
    expect(() => workerSources(folder)).toThrow(
      /two.lap-worker\.ts and .*one.lap-worker\.ts would share an address/,
    )
  })

  it('are whole scripts that differ, at an address that follows their content', async () => {
    const sources = { 'app/a/a-worker.ts': 'self.postMessage(1)', 'app/b/b-worker.ts': 'self.postMessage(2)' }
    for (const [path, text] of Object.entries(sources)) {
      mkdirSync(join(folder, path, '..'), { recursive: true })
      writeFileSync(join(folder, path), text)
    }
    const first = await bundleWorkers(folder)
    expect([...first.files.keys()]).toEqual(['a-worker.js', 'b-worker.js'])
    const texts = [...first.files.values()].map((c) => Buffer.from(c).toString())
    expect(new Set(texts).size).toBe(2)
    for (const text of texts) expect(text).not.toMatch(/importScripts|import\(|location/)
    expect((await bundleWorkers(folder)).base).toBe(first.base)
    writeFileSync(join(folder, 'app/b/b-worker.ts'), 'self.postMessage(3)')
    expect((await bundleWorkers(folder)).base).not.toBe(first.base)
  })
})

it('the service worker is one classic script that knows its build', async () => {
  const script = await bundleServiceWorker(root, {
    name: 'named',
    assets: { '/_next/static/a.js': 'sha256-x' },
  })
  for (const part of ['named', '/_next/static/a.js', 'sha256-x', 'respondWith'])
    expect(script).toContain(part)
  expect(() => new Function(script)).not.toThrow()
  expect(existsSync(join(root, 'public'))).toBe(false)
})
