import { afterEach, beforeEach, expect, it, vi } from 'vitest'
import { checkArchive } from '@/server/archive/check-archive'
import { planArchive } from '@/server/archive/plan-archive'
import { takeArchive } from '@/server/archive/take-archive'
import { ArchiveBoard } from '../../support/archive-board'
import { must } from '../../support/must'

vi.setConfig({ testTimeout: 120_000 })

/** In the place of 20,000, which take half a minute. */
const AT_ONCE = 2_000
let from: ArchiveBoard
let to: ArchiveBoard
beforeEach(() => {
  from = new ArchiveBoard()
  to = new ArchiveBoard()
})
afterEach(async () => {
  await from.dispose()
  await to.dispose()
})

/** So many cars of two values each, which are always written together. */
const putCars = (board: ArchiveBoard, cars: number) =>
  board.sync.editAsServer('kit', (doc) => {
    const map = doc.getMap('cars')
    for (let i = 0; i < cars; i++) {
      map.set(`c${i}:name`, `Car ${i}`)
      map.set(`c${i}:note`, `Note ${i}`)
    }
  })
/** Bring it in; `seen` hears how many values the kit has after each write. */
async function take(file: string, seen: (values: number) => void) {
  const archive = must(await checkArchive(file))
  try {
    const { digest } = await planArchive(archive, to.parts)
    const board = {
      readRoom: to.sync.readRoom.bind(to.sync),
      editAsServer: async (...args: Parameters<typeof to.sync.editAsServer>) => {
        await to.sync.editAsServer(...args)
        seen((await to.values('kit')).size)
      },
    }
    const by = { personId: 'petra-amsel' }
    return must(
      await takeArchive(
        archive,
        { ...to.parts, board, seenAtOnce: AT_ONCE },
        { conflicts: 'here', digest, by },
      ),
    )
  } finally {
    archive.close()
  }
}
async function notesOf(file: string): Promise<readonly string[]> {
  const archive = must(await checkArchive(file))
  try {
    return (await planArchive(archive, { ...to.parts, seenAtOnce: AT_ONCE })).notes
  } finally {
    archive.close()
  }
}
const valuesWritten = (seen: readonly number[]) => [...new Set(seen)].filter((n) => n > 0)

it('[S27] what people see comes in all at once up to so many values, and its plan says nothing of parts', async () => {
  await putCars(from, AT_ONCE / 2)
  const file = await from.archive()
  expect(await notesOf(file)).toEqual([])
  const seen: number[] = []
  await take(file, (n) => seen.push(n))
  expect(valuesWritten(seen)).toEqual([AT_ONCE])
})

it('[S27] of more the plan says that it comes by parts; each has whole records, and cut off, a second import brings the rest', async () => {
  await putCars(from, AT_ONCE / 2 + 1)
  const file = await from.archive()
  expect(await notesOf(file)).toEqual([
    'Kit: 2,002 values change, too many to come in all at once. They come in by parts, and whoever looks meanwhile sees some of them. If it is cut off, import the same archive again: it brings the rest.',
  ])
  const seen: number[] = []
  const cut = take(file, (n) => {
    seen.push(n)
    if (n > AT_ONCE / 2) throw new Error('The power went')
  })
  await expect(cut).rejects.toThrow('The power went')
  const half = await to.values('kit')
  expect(half.size).toBeLessThan(AT_ONCE)
  expect(valuesWritten(seen).length).toBeGreaterThan(2)
  for (const key of half.keys())
    expect(half.has(key.replace(/name$|note$/, (f) => (f === 'name' ? 'note' : 'name')))).toBe(true)
  await take(file, () => undefined)
  expect(await to.values('kit')).toEqual(await from.values('kit'))
})
