import { execFileSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { afterEach, beforeEach, expect, it, vi } from 'vitest'
import { DEMO_EARLIER_MEETING_ID, DEMO_MEETING_ID } from '@/demo/seed'
import { writeStarterKit } from '@/lib/board'
import { photos } from '@/drizzle/schema'
import { Invitations } from '@/server/join/invitations'
import { secureRandom } from '@/server/join/secret-hash'
import { checkArchive } from '@/server/archive/check-archive'
import { takeArchive } from '@/server/archive/take-archive'
import { ArchiveBoard, MEETING_ROOM } from '../../support/archive-board'
import { must } from '../../support/must'

// A whole team each time, on a machine that may be busy.
vi.setConfig({ testTimeout: 120_000 })

let one: ArchiveBoard
let other: ArchiveBoard
beforeEach(async () => {
  one = await ArchiveBoard.withDemo()
  other = new ArchiveBoard()
})
afterEach(async () => {
  await one.dispose()
  await other.dispose()
})

const photosOf = ({ client }: ArchiveBoard) =>
  client.db
    .select()
    .from(photos)
    .orderBy(photos.hash)
    .all()
    .map(({ meetingId, hash, runId, type, personId, data }) => ({
      meetingId,
      hash,
      runId,
      type,
      personId,
      is: createHash('sha256').update(data).digest('hex'),
    }))

it('[S27] a team that is brought in elsewhere is equal field by field, photos byte by byte, history line by line', async () => {
  const taken = await other.take(await one.archive())
  for (const room of ['kit', MEETING_ROOM, `meeting-${DEMO_EARLIER_MEETING_ID}`]) {
    const values = await one.values(room)
    expect(values.size).toBeGreaterThan(100)
    expect(await other.values(room)).toEqual(values)
    const history = other.history(room)
    // The meetings of the kit's list say besides who brought them in.
    const own = history.filter((line) => line.includes('"deviceId":"archive:'))
    expect(own.every((line) => room === 'kit' && line.includes('"collection":"meetings"'))).toBe(true)
    expect(history.filter((line) => !own.includes(line))).toEqual(one.history(room))
  }
  expect(photosOf(other)).toHaveLength(4)
  expect(photosOf(other)).toEqual(photosOf(one))
  expect(taken.photos).toBe(4)
  expect(taken.history).toBeGreaterThan(500)
})

it('[S27] brought in a second time, nothing is left to do; over a kit that a start has filled, the team’s own values count', async () => {
  await other.sync.editAsServer('kit', writeStarterKit)
  const file = await one.archive()
  await other.take(file)
  const before = other.everything()
  const plan = await other.plan(file)
  expect(plan.rooms.every((r) => r.collections.length === 0 && r.filled === 0)).toBe(true)
  expect([plan.history, plan.photos.added]).toEqual([0, 0])
  expect(await other.take(file)).toEqual({ values: 0, photos: 0, history: 0, left: 0 })
  expect(other.everything()).toBe(before)
  for (const [key, value] of await one.values('kit')) expect((await other.values('kit')).get(key)).toBe(value)
})

it('[S27] a meeting goes with the whole kit, and with no other meeting', async () => {
  const file = await one.archive('one.zip', { kind: 'meeting', meetingId: DEMO_MEETING_ID })
  await other.take(file)
  expect(await other.values(MEETING_ROOM)).toEqual(await one.values(MEETING_ROOM))
  expect((await other.values(`meeting-${DEMO_EARLIER_MEETING_ID}`)).size).toBe(0)
  const kit = [...(await one.values('kit'))].filter(
    ([key]) => !key.startsWith('meetings/') || key.startsWith(`meetings/${DEMO_MEETING_ID}:`),
  )
  expect(await other.values('kit')).toEqual(new Map(kit))
})

it('[S27] what only one of both changed since is told apart from what both changed', async () => {
  await other.take(await one.archive())
  await one.write('kit', 'cars', 'rook', 'note', 'Later in the archive')
  await other.write('kit', 'cars', 'vole', 'note', 'Later on this board')
  await one.write('kit', 'cars', 'rook', 'weightG', 1600)
  await other.write('kit', 'cars', 'rook', 'weightG', 1590)
  await one.write('kit', 'packs', 'new-pack', 'label', 'N1')
  const file = await one.archive('later.zip')
  const [kit] = (await other.plan(file)).rooms
  expect(kit?.differences.map(({ kind, field, here, archive }) => [kind, field, here, archive])).toEqual(
    expect.arrayContaining([
      ['later', 'Note', 'Front arm is new, left one too', 'Later in the archive'],
      ['conflict', 'Weight ready to run', 1590, 1600],
    ]),
  )
  expect(kit?.differences).toHaveLength(2)
  expect(kit?.collections.find((c) => c.collection === 'packs')?.added).toBe(1)
  const at = async (key: string) => (await other.values('kit')).get(key)
  await other.take(file)
  expect(await at('cars/rook:note')).toBe('"Later in the archive"')
  expect(await at('cars/vole:note')).toBe('"Later on this board"')
  expect(await at('cars/rook:weightG')).toBe('1590')
  expect(await at('packs/new-pack:label')).toBe('"N1"')
  expect(other.history('kit').at(-1)).toContain('"personId":"petra-amsel","deviceId":"archive:')
  await other.take(file, 'archive')
  expect(await at('cars/rook:weightG')).toBe('1600')
})

it('[S27] what was removed elsewhere is here until somebody says so, told by its name; what is new comes as it is', async () => {
  await other.take(await one.archive())
  const pack = [...(await one.values('kit')).keys()].find((key) => /^packs\/[^:]+:label$/.test(key)) ?? ''
  const id = pack.slice('packs/'.length, -':label'.length)
  await one.write('kit', 'packs', id, 'removed', true)
  await one.write('kit', 'meetings', DEMO_MEETING_ID, 'removed', true)
  await one.write('kit', 'packs', 'short-lived', 'label', 'N2')
  await one.write('kit', 'packs', 'short-lived', 'removed', true)
  await other.write('kit', 'packs', id, 'note', 'Used here all day')
  const file = await one.archive('removed.zip')
  const [kit] = (await other.plan(file)).rooms
  expect(kit?.filled).toBe(0)
  const label = JSON.parse((await one.values('kit')).get(pack) ?? '') as string
  expect(kit?.differences.map(({ kind, name, here, archive }) => [kind, name, here, archive])).toEqual(
    expect.arrayContaining([
      ['conflict', label, false, true],
      ['conflict', expect.any(String), false, true],
    ]),
  )
  expect(kit?.differences).toHaveLength(2)
  const isRemoved = async (key: string) => (await other.values('kit')).get(`${key}:removed`)
  await other.take(file)
  expect([await isRemoved(`packs/${id}`), await isRemoved(`meetings/${DEMO_MEETING_ID}`)]).toEqual([
    undefined,
    undefined,
  ])
  expect(await isRemoved('packs/short-lived')).toBe('true')
  await other.take(file, 'archive')
  expect(await isRemoved(`packs/${id}`)).toBe('true')
})

it('[S27] people who are here stay as they are: a file makes nobody a manager and takes nobody off the crew', async () => {
  await other.take(await one.archive())
  await one.write('kit', 'people', 'ilse-brandt', 'role', 'manager')
  await one.write('kit', 'people', 'petra-amsel', 'removed', true)
  const before = await other.values('kit')
  await other.take(await one.archive('crew.zip'), 'archive')
  expect(await other.values('kit')).toEqual(before)
})

it('[S27] a plan that no longer holds is not carried out', async () => {
  const file = await one.archive()
  const plan = await other.plan(file)
  await other.write('kit', 'cars', 'rook', 'note', 'Somebody was quicker')
  const before = other.everything()
  const archive = must(await checkArchive(file))
  const taken = await takeArchive(archive, other.parts, {
    conflicts: 'here',
    digest: plan.digest,
    by: { personId: 'p' },
  })
  archive.close()
  expect(taken.ok).toBe(false)
  expect(other.everything()).toBe(before)
})

it('[S27] what somebody writes while an archive comes in stays, also of a record that is new meanwhile, and is counted', async () => {
  const file = await one.archive()
  await other.take(file)
  await one.write('kit', 'cars', 'rook', 'note', 'Later in the archive')
  await one.write('kit', 'cars', 'rook', 'weightG', 1600)
  await one.write('kit', 'cars', 'x-heron', 'name', 'Heron')
  await one.write('kit', 'cars', 'x-heron', 'note', 'New in the archive')
  await one.write(MEETING_ROOM, 'meeting', 'meeting', 'name', 'Named by the archive')
  const later = await one.archive('later.zip')
  const archive = must(await checkArchive(later))
  const { digest } = await other.plan(later)
  // The meeting goes in first: by then the kit was compared, and somebody is quicker with it.
  let isQuicker = true
  const board: typeof other.parts.board = Object.create(other.sync) as typeof other.sync
  board.editAsServer = async (room, ...rest) => {
    if (room !== 'kit' && isQuicker) {
      isQuicker = false
      await other.write('kit', 'cars', 'rook', 'note', 'Somebody was quicker')
      await other.write('kit', 'cars', 'x-heron', 'name', 'Another heron')
    }
    return other.sync.editAsServer(room, ...rest)
  }
  board.readRoom = (room, read) => other.sync.readRoom(room, read)
  const by = { personId: 'petra-amsel' }
  const taken = must(
    await takeArchive(archive, { ...other.parts, board }, { conflicts: 'archive', digest, by }),
  )
  archive.close()
  expect(isQuicker).toBe(false)
  const values = await other.values('kit')
  expect(values.get('cars/rook:note')).toBe('"Somebody was quicker"')
  expect(values.get('cars/x-heron:name')).toBe('"Another heron"')
  expect(values.get('cars/x-heron:note')).toBeUndefined()
  expect(values.get('cars/rook:weightG')).toBe('1600')
  expect([taken.values, taken.left]).toEqual([2, 3])
})

it('an archive holds no secret, and any zip program can open it', async () => {
  const { code } = new Invitations(one.client, one.clock, secureRandom).create({
    role: 'manager',
    name: 'Nadja Secret',
    hours: 1,
    singleUse: false,
    createdBy: 'test',
  })
  const file = await one.archive()
  const script = `
import sys, zipfile
z = zipfile.ZipFile(sys.argv[1])
assert z.testzip() is None
print("\\n".join(z.namelist()))
print("".join(z.read(n).decode("utf-8", "replace") for n in z.namelist()))`
  const out = execFileSync('python3', ['-c', script, file], { encoding: 'utf8', maxBuffer: 1e9 })
  expect(out).toContain(`boards/${MEETING_ROOM}.json`)
  expect(out).not.toContain(code)
  expect(out).not.toContain('Nadja Secret')
  const tables = one.client.connection.prepare(
    'SELECT codeHash FROM invitations'.replace('codeHash', 'code_hash'),
  )
  expect(out).not.toContain((tables.get() as { code_hash: string }).code_hash)
})
