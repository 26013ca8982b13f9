import { expect, test } from 'vitest'
import { WhatIfDesk, type WhatIfThread } from '@/app/card/what-if-desk'
import type { WhatIfAnswers, WhatIfQuestion } from '@/app/card/what-if-messages'
import type { ProjectionBasis } from '@/lib/card'

const basis = {} as ProjectionBasis
const turbo: WhatIfQuestion = { kind: 'turbo', basis, delays: [] }
const compare: WhatIfQuestion = { kind: 'compare', today: basis, trial: basis }

function setUp() {
  const asked: { n: number; question: WhatIfQuestion }[] = []
  const thread: WhatIfThread = {
    onmessage: null,
    onerror: null,
    postMessage: (m) => void asked.push(m),
    terminate: () => undefined,
  }
  const desk = new WhatIfDesk(() => thread)
  const reply = (answer: unknown) =>
    thread.onmessage?.({
      data: { n: asked.at(-1)?.n ?? 0, ok: true, answer: answer as WhatIfAnswers['turbo'] },
    } as MessageEvent)
  return { asked, thread, desk, reply }
}

test('of each kind only the latest question is asked, the comparison before a sweep', () => {
  const t = setUp()
  t.desk.ask('1', turbo)
  t.desk.ask('2', turbo)
  t.desk.ask('3', turbo)
  t.desk.ask('a', compare)
  t.reply(['first'])
  expect(t.desk.state('turbo')).toEqual({ answer: ['first'], stale: true, failed: null })
  t.reply({ differences: [] })
  t.reply(['last'])
  expect(t.asked.map((q) => q.question.kind)).toEqual(['turbo', 'compare', 'turbo'])
  expect(t.desk.state('turbo')).toEqual({ answer: ['last'], stale: false, failed: null })
})

test('an asked question is not asked again, and a later one marks the answer stale until it is answered', () => {
  const t = setUp()
  t.desk.ask('1', turbo)
  t.desk.ask('1', turbo)
  t.reply(['a'])
  t.desk.ask('1', turbo)
  expect(t.asked).toHaveLength(1)
  t.desk.ask('2', turbo)
  expect(t.desk.state('turbo')).toMatchObject({ answer: ['a'], stale: true })
})

test('a failure keeps the last good answer and says why', () => {
  const t = setUp()
  t.desk.ask('1', turbo)
  t.reply(['a'])
  t.desk.ask('2', turbo)
  t.thread.onmessage?.({ data: { n: t.asked.at(-1)?.n ?? 0, ok: false, message: 'broke' } } as MessageEvent)
  expect(t.desk.state('turbo')).toMatchObject({ answer: ['a'], failed: 'broke' })
})

test('a thread that is gone is said for what was asked alone, keeps what stands, and trying again asks the same anew', () => {
  const t = setUp()
  t.desk.ask('1', turbo)
  t.reply(['a'])
  t.desk.ask('2', turbo)
  t.thread.onerror?.({} as ErrorEvent)
  const { answer, failed, retry } = t.desk.state('turbo')
  expect([answer, failed]).toEqual([['a'], expect.stringMatching(/^The simulator did not start\. Try again/)])
  expect(t.desk.state('compare').failed).toBe(null)
  retry?.()
  expect(t.desk.state('turbo')).toEqual({ answer: ['a'], stale: true, failed: null })
  expect(t.asked).toHaveLength(3)
  t.reply(['b'])
  expect(t.desk.state('turbo')).toEqual({ answer: ['b'], stale: false, failed: null })
})
