import { createHash } from 'node:crypto'
import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { inflateRawSync } from 'node:zlib'
import * as Y from 'yjs'
import { afterAll, beforeAll, expect, it, vi } from 'vitest'
import type { ArchiveManifest } from '@/lib/archive'
import { checkArchive } from '@/server/archive/check-archive'
import { ARCHIVE_LIMITS } from '@/server/archive/archive-limits'
import { refusalText } from '@/lib/core/result'
import { ArchiveBoard, AT } from '../../support/archive-board'
import { handMadeZip, partsOf, sealedAnew, type HandMadeEntry } from '../../support/hand-made-zip'
import { drawn, sha256 } from '../../support/pictures'

vi.setConfig({ testTimeout: 120_000 })

let board: ArchiveBoard
let whole: Buffer
let parts: Awaited<ReturnType<typeof partsOf>>
let manifest: ArchiveManifest

beforeAll(async () => {
  board = new ArchiveBoard()
  await board.write('kit', 'meetings', 'm1', 'name', 'Spring')
  await board.write('kit', 'cars', 'rook', 'name', 'Rook')
  for (let i = 0; i < 60; i++) await board.write('kit', 'cars', 'rook', 'note', `Note ${i}: ${Math.sqrt(i)}`)
  await board.write('meeting-m1', 'entries', 'e1', 'heatId', 'h1')
  const data = Buffer.from(await drawn('jpeg', { width: 40, height: 30 }))
  const stored = {
    meetingId: 'm1',
    runId: 'e1',
    hash: sha256(data),
    type: 'image/jpeg',
    data,
    personId: 'p1',
  }
  expect(board.photos.put(stored, new Set())).toBe('stored')
  const v = {
    hash: stored.hash,
    thumb: stored.hash,
    type: 'image/jpeg',
    width: 40,
    height: 30,
    bytes: data.length,
  }
  await board.write('meeting-m1', 'photos', 'f1', 'picture', { v, by: 'p1', at: AT })
  const file = await board.archive()
  whole = board.bytesOf(file)
  parts = await partsOf(file)
  manifest = JSON.parse(parts.get('manifest.json')?.data.toString('utf8') ?? '') as ArchiveManifest
})
afterAll(() => board.dispose())

/** Numbers that are the same in every run (a linear congruential generator, Numerical Recipes' constants, from memory). */
function drawsOf(seed: number) {
  let state = seed >>> 0
  return (below: number) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0
    return Math.floor((state / 2 ** 32) * below)
  }
}

/** Null when it does not unpack. */
function unpacked(packed: Buffer, length: number): Buffer | null {
  if (packed.length === length) return packed
  try {
    return inflateRawSync(packed)
  } catch {
    return null
  }
}

const PHOTO = () => [...parts.keys()].find((name) => /^photos\/m1\/.{64}$/.test(name)) ?? ''

/** The archive with some parts replaced, added or left out (null), and a manifest that fits them: an attacker's work, not damage. */
function remade(
  changes: Record<string, Buffer | string | null>,
  over: Record<string, unknown> = {},
  more: readonly HandMadeEntry[] = [],
): Buffer {
  const all = new Map([...parts].map(([name, { data }]) => [name, data]))
  all.delete('manifest.json')
  for (const [name, data] of Object.entries(changes))
    if (data === null) all.delete(name)
    else all.set(name, Buffer.from(data))
  const told = Object.fromEntries(
    [...all].map(([name, data]) => [
      name,
      { bytes: data.length, sha256: createHash('sha256').update(data).digest('hex') },
    ]),
  )
  const own = JSON.stringify({ ...manifest, parts: told, ...over })
  return handMadeZip([
    ...[...all].map(([name, data]) => ({ name, data })),
    ...more,
    { name: 'manifest.json', data: Buffer.from(own) },
  ])
}

/** A document with the archive's kit in it and whatever else `change` puts there. */
function kitWith(change: (doc: Y.Doc) => void): Buffer {
  const doc = new Y.Doc()
  Y.applyUpdate(doc, new Uint8Array(parts.get('documents/kit.yjs')?.data ?? []))
  change(doc)
  return Buffer.from(Y.encodeStateAsUpdate(doc))
}
const entry = (name: string, data = 'x', more: Partial<HandMadeEntry> = {}): HandMadeEntry => ({
  name,
  data: Buffer.from(data),
  ...more,
})
const huge = (mib: number) => Buffer.alloc(mib * 1024 * 1024)

async function hostile(): Promise<[what: string, bytes: Buffer, says: RegExp][]> {
  const lines = parts.get('audit/kit.jsonl')?.data.toString('utf8') ?? ''
  const told = Buffer.from(await drawn('jpeg', { told: true, width: 40, height: 30 }))
  const bomb = remade({}, {}, [entry('audit/meeting-m2.jsonl', '', { data: huge(300) })])
  const m1 = 'audit/meeting-m1.jsonl'
  const small = { uncompressed: manifest.parts[m1]?.bytes ?? 0 }
  const liar = remade({ [m1]: null }, { parts: manifest.parts }, [
    entry(m1, '', { data: huge(64), says: small }),
  ])
  const gap = new Y.Doc()
  gap.getMap('cars').set('a:name', 'A')
  const vector = Y.encodeStateVector(gap)
  gap.getMap('cars').set('b:name', 'B')
  return [
    ['nothing', Buffer.alloc(0), /no archive|not an archive/],
    ['a text', Buffer.from('id,name\n1,Rook\n'.repeat(40)), /not an archive/],
    ['a zip of something else', handMadeZip([entry('readme.txt', 'hello')]), /belongs to no archive/],
    ['no manifest', handMadeZip([entry('about.txt', 'hello')]), /manifest is missing/],
    ['packed anew by another program', Buffer.from(whole.subarray(0, -71)), /seal is missing/],
    ['a name that leads out', remade({}, {}, [entry('../../board.db')]), /out of its folder/],
    [
      'a name that leads out in the middle',
      remade({}, {}, [entry('photos/../../board.db')]),
      /out of its folder/,
    ],
    ['an absolute name', remade({}, {}, [entry('/etc/passwd')]), /place of its own/],
    ['a drive', remade({}, {}, [entry('C:board.db')]), /place of its own/],
    ['a backslash', remade({}, {}, [entry('photos\\x')]), /backslash/],
    ['a name with a null', remade({}, {}, [entry('about.txt\0.exe')]), /belongs to no archive/],
    ['a name that only looks like another', remade({}, {}, [entry('./about.txt')]), /belongs to no archive/],
    ['the same part twice', remade({}, {}, [entry('about.txt', 'again')]), /same part twice/],
    [
      'a link',
      remade({}, {}, [entry('boards/meeting-m2.json', '/etc/passwd', { mode: 0o120777 })]),
      /link to another/,
    ],
    ['a device', remade({}, {}, [entry('boards/meeting-m2.json', '', { mode: 0o020666 })]), /no plain file/],
    [
      'an encrypted part',
      remade({}, {}, [entry('boards/meeting-m2.json', 'x', { flags: 1 })]),
      /encrypted|mismatch/,
    ],
    [
      'a strongly encrypted part',
      remade({}, {}, [entry('boards/meeting-m2.json', 'x', { flags: 0x41 })]),
      /encryption/,
    ],
    [
      'another way of packing',
      remade({}, {}, [entry('boards/meeting-m2.json', 'x', { method: 12 })]),
      /packed in another way/,
    ],
    ['a part that nobody names', remade({}, {}, [entry('boards/meeting-m2.json')]), /manifest does not name/],
    [
      'a part that is missing',
      remade({}, { parts: { ...manifest.parts, 'boards/x.json': manifest.parts['about.txt'] } }),
      /missing/,
    ],
    ['a zip bomb', bomb, /trap/],
    ['a zip bomb that calls itself small', liar, /unpacked/],
    [
      'a part that calls itself huge',
      remade({}, {}, [entry('audit/meeting-m1.jsonl', 'x', { says: { uncompressed: 0xfffffff0 } })]),
      /MB/,
    ],
    [
      'parts over each other',
      handMadeZip([
        entry('about.txt', 'x'.repeat(100)),
        entry('lists/columns.csv', 'x'.repeat(100), { sameBytesAs: 0 }),
        entry('manifest.json', '{}'),
      ]),
      /over each other/,
    ],
    ['more parts than there are', handMadeZip([entry('about.txt')], { count: 40 }), /can’t be read/],
    ['a newer version', remade({}, { format: 2 }), /newer version/],
    ['a manifest that is no JSON', handMadeZip([entry('manifest.json', '{"format":')]), /not JSON/],
    ['a manifest with more in it', remade({}, { run: 'rm' }), /not as it should be/],
    [
      'a manifest of another size',
      remade({}, { parts: { ...manifest.parts, 'about.txt': { bytes: 1, sha256: 'a'.repeat(64) } } }),
      /manifest says/,
    ],
    [
      'a wrong hash',
      remade(
        {},
        {
          parts: {
            ...manifest.parts,
            'about.txt': { ...manifest.parts['about.txt'], sha256: 'a'.repeat(64) },
          },
        },
      ),
      /not the one/,
    ],
    ['a meeting that is a team', remade({}, { scope: { kind: 'meeting', meetingId: 'm2' } }), /holds others/],
    [
      'no kit',
      remade({ 'documents/kit.yjs': null, 'boards/kit.json': null, 'audit/kit.jsonl': null }),
      /no kit/,
    ],
    ['a document that is noise', remade({ 'documents/kit.yjs': Buffer.alloc(2000, 0xa7) }), /can’t be read/],
    [
      'a document with a gap',
      remade({ 'documents/kit.yjs': Buffer.from(Y.encodeStateAsUpdate(gap, vector)) }),
      /parts missing/,
    ],
    [
      'an unknown list',
      remade({ 'documents/kit.yjs': kitWith((d) => d.getMap('spies').set('a:name', 1)) }),
      /does not know/,
    ],
    [
      'an unknown field',
      remade({ 'documents/kit.yjs': kitWith((d) => d.getMap('cars').set('a:wings', 1)) }),
      /no such field/,
    ],
    [
      'a value out of range',
      remade({ 'documents/kit.yjs': kitWith((d) => d.getMap('cars').set('a:weightG', 1e9)) }),
      /Weight/,
    ],
    [
      'a value of bytes',
      remade({ 'documents/kit.yjs': kitWith((d) => d.getMap('cars').set('a:note', new Uint8Array(4))) }),
      /no board holds/,
    ],
    [
      'a board in a board',
      remade({ 'documents/kit.yjs': kitWith((d) => d.getMap('cars').set('a:note', new Y.Map())) }),
      /no board holds/,
    ],
    [
      'an inherited name',
      remade({ 'documents/kit.yjs': kitWith((d) => d.getMap('cars').set('__proto__:note', 'x')) }),
      /no board holds/,
    ],
    [
      'a list where records belong',
      remade({ 'documents/kit.yjs': kitWith((d) => d.get('cars', Y.Array).insert(0, [1])) }),
      /no list of records|can’t be read/,
    ],
    ['a readable copy that lies', remade({ 'boards/kit.json': '{}\n' }), /doesn’t match/],
    [
      'a meeting that nobody knows',
      remade({
        'documents/meeting-m9.yjs': parts.get('documents/meeting-m1.yjs')?.data ?? '',
        'boards/meeting-m9.json': parts.get('boards/meeting-m1.json')?.data ?? '',
      }),
      /does not know/,
    ],
    ['a history of no board', remade({ 'audit/meeting-m9.jsonl': lines }), /a board that it lacks/],
    ['a history that is no JSON', remade({ 'audit/kit.jsonl': `${lines}oops\n` }), /line/],
    ['a history with more in it', remade({ 'audit/kit.jsonl': lines.replace('{', '{"run":1,') }), /line/],
    ['a history that is cut off', remade({ 'audit/kit.jsonl': lines.slice(0, -5) }), /cut off/],
    [
      'a history that goes deep',
      remade({
        'audit/kit.jsonl': lines.replace(/"after":"[^"]*"/, `"after":${'['.repeat(5000)}${']'.repeat(5000)}`),
      }),
      /line/,
    ],
    ['a line without an end', remade({ 'audit/kit.jsonl': 'x'.repeat(3_000_000) }), /too long|trap/],
    [
      'a photo under another name',
      remade({ [`photos/m1/${'a'.repeat(64)}`]: parts.get(PHOTO())?.data ?? '' }),
      /not the one it says/,
    ],
    [
      'a photo that is none',
      remade({ [`photos/m1/${sha256(Buffer.from('<svg onload=x>'))}`]: '<svg onload=x>' }),
      /can’t be shown/,
    ],
    ['a photo that tells where', remade({ [`photos/m1/${sha256(told)}`]: told }), /more than it shows/],
    ['a photo that is listed and not there', remade({ [PHOTO()]: null }), /does not have/],
    ['a list of photos that is none', remade({ 'photos/m1.jsonl': '{"hash":"../x"}\n' }), /line/],
  ]
}

it('[S27] 200 damaged and hostile archives are refused in words; nothing is changed, and memory stays bounded', async () => {
  const draw = drawsOf(20261126)
  const made = await hostile()
  const damaged: [what: string, bytes: Buffer, says: RegExp][] = []
  for (let i = 0; i < 60; i++) {
    const length = draw(whole.length)
    damaged.push([`cut to ${length} bytes`, Buffer.from(whole.subarray(0, length)), /cut off|not an archive/])
  }
  for (let i = 0; i < 50; i++) {
    const bytes = Buffer.from(whole)
    const places = Array.from({ length: 1 + draw(6) }, () => draw(bytes.length))
    for (const at of places) bytes[at] = (bytes[at] ?? 0) ^ (1 << draw(8))
    if (!bytes.equals(whole))
      damaged.push([`bits flipped at ${places.join(', ')}`, bytes, /damaged|seal|not an archive/])
  }
  // Sealed anew, the damage itself must be found: in the bytes of any part.
  const spans = [...parts.values()].filter((p) => p.to > p.from)
  while (damaged.length + made.length < 200) {
    const { from, to, data } = spans[draw(spans.length)] ?? { from: 0, to: 1, data: Buffer.alloc(0) }
    const bytes = Buffer.from(whole)
    const at = from + draw(to - from)
    bytes[at] = (bytes[at] ?? 0) ^ (1 << draw(8))
    // Some bits of packed data say nothing: those are no damage.
    if (unpacked(bytes.subarray(from, to), data.length)?.equals(data)) continue
    damaged.push([`a bit flipped at ${at} and sealed anew`, sealedAnew(bytes), /./])
  }
  const all = [...made, ...damaged]
  expect(all).toHaveLength(200)
  const before = board.everything()
  const file = join(board.folder, 'hostile.zip')
  const memory = () => process.memoryUsage().rss
  const atFirst = memory()
  let most = 0
  const wrong: string[] = []
  for (const [what, bytes, says] of all) {
    writeFileSync(file, bytes)
    const checked = await checkArchive(file)
    most = Math.max(most, memory() - atFirst)
    if (checked.ok) {
      checked.value.close()
      wrong.push(`${what}: taken`)
    } else {
      const words = refusalText(checked.error)
      if (!says.test(words) || words.length < 40 || !/Nothing was changed|again|Update/.test(words))
        wrong.push(`${what}: ${words}`)
    }
  }
  expect(wrong).toEqual([])
  expect(board.everything()).toBe(before)
  // The largest would unpack to 300 MiB; documents are held whole, up to 32 MiB.
  expect(most).toBeLessThan(200 * 1024 * 1024)
})

it('[S27] a flipped bit in any header, sealed anew, is refused or changes nothing of what the archive says', async () => {
  const draw = drawsOf(7)
  const inside = [...parts.values()]
  const file = join(board.folder, 'headers.zip')
  const plan = async () => JSON.stringify({ ...(await board.plan(file)), digest: '' })
  writeFileSync(file, whole)
  const sound = await plan()
  let refused = 0
  for (let i = 0; i < 150; i++) {
    let at = draw(whole.length - 71)
    while (inside.some((p) => at >= p.from && at < p.to)) at = draw(whole.length - 71)
    const bytes = Buffer.from(whole)
    bytes[at] = (bytes[at] ?? 0) ^ (1 << draw(8))
    writeFileSync(file, sealedAnew(bytes))
    const checked = await checkArchive(file)
    if (!checked.ok) {
      refused++
      continue
    }
    checked.value.close()
    expect(await plan()).toBe(sound)
  }
  expect(refused).toBeGreaterThan(30)
})

it('the limits hold one by one', async () => {
  const file = join(board.folder, 'limits.zip')
  writeFileSync(file, whole)
  for (const [limit, says] of [
    [{ fileBytes: 100 }, /larger/],
    [{ parts: 2 }, /parts/],
    [{ document: 10 }, /unpacked/],
    [{ photo: 10 }, /unpacked/],
    [{ unpackedBytes: 100 }, /trap/],
    [{ line: 20 }, /too long/],
  ] as const) {
    const checked = await checkArchive(file, { ...ARCHIVE_LIMITS, ...limit })
    expect(checked.ok ? 'taken' : refusalText(checked.error)).toMatch(says)
  }
  const checked = await checkArchive(file)
  expect(checked.ok).toBe(true)
  if (checked.ok) checked.value.close()
})
