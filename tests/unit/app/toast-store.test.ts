import { expect, it } from 'vitest'
import { changeText, ToastStore, type ToastNews } from '@/app/ui/toast-store'

/** A clock in the test's own hand. */
function store() {
  let due: { ms: number; run: () => void } | null = null
  const toasts = new ToastStore({
    after: (ms, run) => {
      const mine = { ms, run }
      due = mine
      return () => void (due = due === mine ? null : due)
    },
  })
  return { toasts, pass: () => due?.run(), stays: () => due?.ms ?? Infinity }
}
const undone: string[] = []
const change = (what: string, from: string, to: string): ToastNews => ({
  kind: 'undo',
  text: changeText({ what, from, to }),
  change: { what, from, to },
  onUndo: () => void undone.push(`${to} to ${from}`),
})
const did = (text: string): ToastNews => ({ kind: 'undo', text, change: null, onUndo: () => undefined })
const refused: ToastNews = {
  kind: 'refused',
  refusal: { field: 'Pack', value: '', reason: 'is retired', remedy: 'Pick another.' },
}
const text = (news: ToastNews | null) => news && (news.kind === 'refused' ? news.refusal.reason : news.text)

it('one notice at a time: the newest', () => {
  const { toasts, pass } = store()
  toasts.add(did('Spur 79 assigned'))
  toasts.add(did('Pinion 23 assigned'))
  expect(text(toasts.shown())).toBe('Pinion 23 assigned')
  pass()
  expect(toasts.shown()).toBeNull()
})

it('steps of one field are one notice, whose undo takes back all of them, the last first', () => {
  const { toasts } = store()
  toasts.add(change('P3: resistance', '9', '9.1'))
  toasts.add(change('P3: resistance', '9.1', '9.2'))
  const news = toasts.shown()
  expect(text(news)).toBe('P3: resistance 9 → 9.2')
  if (news?.kind === 'undo') news.onUndo()
  expect(undone).toEqual(['9.2 to 9.1', '9.1 to 9'])
  toasts.add(change('P4: resistance', '', '8'))
  expect(text(toasts.shown())).toBe('P4: resistance set to 8')
})

it('a refusal stays until it is closed, whatever is done meanwhile', () => {
  const { toasts, stays } = store()
  toasts.add(did('Spur 79 assigned'))
  toasts.add(refused)
  toasts.add(did('Pinion 23 assigned'))
  expect([text(toasts.shown()), stays()]).toEqual(['is retired', Infinity])
  toasts.clear()
  expect(toasts.shown()).toBeNull()
})

it('over a dialog nothing is offered; it waits, and stays as long afterwards', () => {
  const { toasts, stays } = store()
  const close = toasts.dialog()
  toasts.add(did('Spur 79 assigned'))
  expect([toasts.shown(), stays()]).toEqual([null, Infinity])
  close()
  expect([text(toasts.shown()), stays()]).toEqual(['Spur 79 assigned', 12_000])
  const again = toasts.dialog()
  toasts.add(refused)
  expect(text(toasts.shown())).toBe('is retired')
  again()
})
