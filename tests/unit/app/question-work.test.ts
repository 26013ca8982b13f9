import { expect, test } from 'vitest'
import { QuestionWork, type Steps } from '@/app/threads/answer-questions'
import type { DeskReply } from '@/app/threads/desk-messages'

type Laps = Record<string, { question: string; answer: string }>

/** A worker turned by hand. */
function setUp(answererOf: (place: string) => (question: string) => Steps<string>, first: string[] = []) {
  const said: string[] = []
  let turns = 0
  const work = new QuestionWork<Laps>({
    answererOf: answererOf as never,
    first,
    say: (r: DeskReply<Laps>) =>
      void said.push(
        `${r.n} ${'failed' in r ? `failed: ${r.failed}` : `${r.answer}${r.isLast ? '.' : ' …'}`}`,
      ),
    soon: () => void turns++,
  })
  const turn = async () => {
    if (turns === 0) return false
    turns--
    await work.step()
    return true
  }
  const all = async () => {
    while (await turn());
  }
  const ask = (n: number, place: string, question = place) => work.take({ n, place, question })
  return { work, said, ask, turn, all, turns: () => turns }
}

const twice = () =>
  function* (question: string) {
    yield `about ${question}`
    return question
  }

test('everybody’s first part goes out before anybody’s second', async () => {
  const t = setUp(twice)
  t.ask(1, 'rook')
  t.ask(2, 'wren')
  expect(t.turns()).toBe(1)
  await t.all()
  expect(t.said).toEqual(['1 about rook …', '2 about wren …', '1 rook.', '2 wren.'])
})

test('between two steps a newer question of the same place is heard, and the older one is not gone on with', async () => {
  const t = setUp(twice)
  t.ask(1, 'rook')
  await t.turn()
  t.ask(2, 'rook', 'rook, changed')
  await t.all()
  expect(t.said).toEqual(['1 about rook …', '2 about rook, changed …', '2 rook, changed.'])
})

test('what nobody waits for any more is not worked out', async () => {
  const begun: string[] = []
  const t = setUp(() => (question) => {
    begun.push(question)
    return question
  })
  t.ask(1, 'rook')
  t.ask(2, 'wren')
  t.work.take({ place: 'rook', n: null })
  await t.all()
  expect([begun, t.said]).toEqual([['wren'], ['2 wren.']])
})

test('where several wait, those named first go first, and others in the order that they came', async () => {
  const t = setUp(() => (question) => question, ['compare', 'turbo'])
  t.ask(1, 'owl')
  t.ask(2, 'turbo')
  t.ask(3, 'rook')
  t.ask(4, 'compare')
  await t.all()
  expect(t.said).toEqual(['4 compare.', '2 turbo.', '1 owl.', '3 rook.'])
})

test('an answer that comes later is waited for; one that was overtaken meanwhile is not told', async () => {
  const waiting: ((text: string) => void)[] = []
  const t = setUp(() => () => new Promise<string>((resolve) => waiting.push(resolve)))
  t.ask(1, 'rook')
  const first = t.turn()
  t.ask(2, 'rook')
  expect(t.turns()).toBe(0)
  waiting[0]!('old')
  await first
  const second = t.turn()
  waiting[1]!('new')
  await second
  expect(t.said).toEqual(['2 new.'])
  expect(t.turns()).toBe(0)
})

test('a question that fails, at once or on the way, is told with the reason, and the next one is answered', async () => {
  const t = setUp((place) =>
    place === 'at once'
      ? () => {
          throw new Error('no')
        }
      : place === 'later'
        ? async function* (q: string) {
            yield q
            throw await Promise.resolve('text')
          }
        : (q) => q,
  )
  t.ask(1, 'at once')
  t.ask(2, 'later')
  t.ask(3, 'well')
  await t.all()
  expect(t.said).toEqual(['1 failed: no', '2 later …', '3 well.', '2 failed: text'])
})
