import { afterEach, beforeEach, expect, test, vi } from 'vitest'
import { everyInterval } from '@/app/ui/ticks'

const clock = { now: () => Date.now() }

beforeEach(() => void vi.useFakeTimers({ now: 59_300 }))
afterEach(() => void vi.useRealTimers())

test('everything that turns in the same moment turns in one task, on the clock’s own seconds', () => {
  const drawn: string[] = []
  const stops = [
    everyInterval(clock, 1000, () => drawn.push(`a ${clock.now()}`)),
    everyInterval(clock, 60_000, () => drawn.push(`minute ${clock.now()}`)),
    everyInterval(clock, 1000, () => drawn.push(`b ${clock.now()}`)),
  ]
  expect(vi.getTimerCount()).toBe(1)
  vi.advanceTimersByTime(1705)
  expect(drawn).toEqual(['a 60005', 'b 60005', 'minute 60005', 'a 61005', 'b 61005'])
  stops.forEach((stop) => stop())
  expect(vi.getTimerCount()).toBe(0)
})

test('one that stops leaves the others running, and may begin again', () => {
  let [a, b] = [0, 0]
  const stopA = everyInterval(clock, 1000, () => a++)
  const stopB = everyInterval(clock, 10_000, () => b++)
  stopA()
  vi.advanceTimersByTime(2000)
  expect([a, b]).toEqual([0, 1])
  const again = everyInterval(clock, 1000, () => a++)
  vi.advanceTimersByTime(1000)
  expect([a, b]).toEqual([1, 1])
  again()
  stopB()
  expect(vi.getTimerCount()).toBe(0)
})

test('a clock that is set back does not stop turning', () => {
  let offset = 0
  const set = { now: () => Date.now() + offset }
  let turns = 0
  const stop = everyInterval(set, 1000, () => turns++)
  vi.advanceTimersByTime(1000)
  offset = -30_250
  vi.advanceTimersByTime(3000)
  // Once at the boundary waited for, then on the seconds of the clock as it is set now.
  expect(turns).toBe(5)
  stop()
})

test('while nobody looks only what turns every ten seconds or less often turns, and a look turns everything at once', () => {
  const page = Object.assign(new EventTarget(), { visibilityState: 'visible' })
  vi.stubGlobal('document', page)
  const become = (state: string) => {
    page.visibilityState = state
    page.dispatchEvent(new Event('visibilitychange'))
  }
  try {
    let [seconds, calls] = [0, 0]
    const stops = [everyInterval(clock, 1000, () => seconds++), everyInterval(clock, 10_000, () => calls++)]
    vi.advanceTimersByTime(1000)
    expect([seconds, calls]).toEqual([1, 1])
    become('hidden')
    // The turn that was waited for may still come.
    vi.advanceTimersByTime(1000)
    const before = seconds
    vi.advanceTimersByTime(40_000)
    expect([seconds - before <= 4, calls]).toEqual([true, 5])
    const hidden = seconds
    become('visible')
    expect(seconds).toBe(hidden + 1)
    vi.advanceTimersByTime(3000)
    expect(seconds).toBe(hidden + 4)
    stops.forEach((stop) => stop())
    expect(vi.getTimerCount()).toBe(0)
  } finally {
    vi.unstubAllGlobals()
  }
})
