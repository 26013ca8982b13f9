import { expect, test } from 'vitest'
import type { ProjectionAnswers } from '@/app/card/projection-messages'
import { ProjectionWork } from '@/app/card/projection-work'
import type { CardProjections, ProjectionBasis } from '@/lib/card'

/** A worker turned by hand, on a clock of its own; each question takes `costMs`. */
function setUp(costMs = 10) {
  const answers: ProjectionAnswers[] = []
  const computed: string[] = []
  let turns = 0
  let now = 0
  const work = new ProjectionWork({
    project: ({ carId }: ProjectionBasis, withSpread): CardProjections => {
      now += costMs
      computed.push(withSpread ? `${carId}±` : carId)
      if (carId === 'broken') throw new Error('it broke')
      return { problem: null, figures: [] }
    },
    answer: (a) => void answers.push(a),
    soon: () => void turns++,
    now: () => now,
  })
  const turn = (): boolean => {
    if (turns === 0) return false
    turns--
    work.step()
    return true
  }
  const question = (id: number, carId: string, withSpread: boolean) => ({
    id,
    ground: JSON.stringify({ carId }),
    withSpread,
  })
  return { work, answers, computed, turn, question }
}
const ids = (answers: ProjectionAnswers[]) => answers.map((a) => a.map((x) => x.id))

test('best estimates go out together, then the ± together', () => {
  const t = setUp()
  t.work.want([
    t.question(1, 'rook', false),
    t.question(2, 'wren', false),
    t.question(1, 'rook', true),
    t.question(2, 'wren', true),
  ])
  while (t.turn());
  expect(t.computed).toEqual(['rook', 'wren', 'rook±', 'wren±'])
  expect(ids(t.answers)).toEqual([
    [1, 2],
    [1, 2],
  ])
})

test.each([
  [false, 700],
  [true, 3500],
])('answers are not held back for long (with the ±: %s)', (withSpread, costMs) => {
  const t = setUp(costMs)
  t.work.want([1, 2, 3, 4, 5, 6].map((id) => t.question(id, `car${id}`, withSpread)))
  while (t.turn());
  expect(ids(t.answers)).toEqual([
    [1, 2, 3],
    [4, 5, 6],
  ])
})

test('a newer list takes the place of the earlier one between two questions; what is done is not done again', () => {
  const t = setUp()
  t.work.want([t.question(1, 'rook', true), t.question(2, 'wren', true)])
  t.turn()
  t.work.want([t.question(1, 'rook', true), t.question(3, 'heron', true)])
  while (t.turn());
  expect(t.computed).toEqual(['rook±', 'heron±'])
  expect(ids(t.answers)).toEqual([[1, 3]])
})

test('an emptied list still hands over what was done', () => {
  const t = setUp()
  t.work.want([t.question(1, 'rook', true), t.question(2, 'wren', true)])
  t.turn()
  t.work.want([])
  while (t.turn());
  expect(ids(t.answers)).toEqual([[1]])
})

test('a question that breaks is answered as failed, and the next is taken', () => {
  const t = setUp()
  t.work.want([t.question(1, 'broken', false), t.question(2, 'wren', false)])
  while (t.turn());
  expect(t.answers.flat()).toMatchObject([
    { id: 1, kind: 'failed', message: 'it broke' },
    { id: 2, kind: 'done' },
  ])
})
