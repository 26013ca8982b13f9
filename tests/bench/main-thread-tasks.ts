/** The part of a Chromium trace event that is read here. Times in µs. */
export interface TraceEvent {
  name: string
  cat: string
  ph: string
  pid: number
  tid: number
  ts: number
  dur?: number
  /** Time that the thread itself ran, without what other processes took from it. */
  tdur?: number
  args?: { name?: string; data?: Record<string, unknown> }
}

export interface MainThreadTasks {
  totalMs: number
  longestMs: number
  count: number
  /** The heaviest kinds of work, nested time counted in each, as lines to print. */
  heaviest: string[]
}

/** User timings between which tasks count. */
export const BEGIN_MARK = 'bench-begin'
export const END_MARK = 'bench-end'

/** The tasks of the page's main thread in a trace, from the one mark to the other: of the renderer main thread that set them. */
export function mainThreadTasks(events: readonly TraceEvent[]): MainThreadTasks {
  const begin = events.find((e) => e.name === BEGIN_MARK)
  const end = events.findLast((e) => e.name === END_MARK)
  if (!begin || !end) throw new Error('The trace holds no marks')
  const own = events.filter(
    (e) =>
      e.pid === begin.pid &&
      e.tid === begin.tid &&
      e.ph === 'X' &&
      e.dur !== undefined &&
      e.ts >= begin.ts &&
      e.ts <= end.ts,
  )
  const sum = (those: readonly TraceEvent[]) => those.reduce((s, e) => s + (e.tdur ?? 0), 0) / 1000
  const tasks = own.filter((e) => e.name === 'RunTask')
  if (tasks.length === 0) throw new Error('The trace holds no tasks of a renderer’s main thread')
  const kinds = new Map<string, { ms: number; n: number }>()
  for (const e of own) {
    const kind = kinds.get(e.name) ?? { ms: 0, n: 0 }
    kinds.set(e.name, { ms: kind.ms + (e.tdur ?? 0) / 1000, n: kind.n + 1 })
  }
  const longest = [...tasks].sort((a, b) => (b.tdur ?? 0) - (a.tdur ?? 0)).slice(0, 12)
  return {
    totalMs: sum(tasks),
    longestMs: (longest[0]?.tdur ?? 0) / 1000,
    count: tasks.length,
    heaviest: [
      `longest tasks: ${longest.map((e) => ((e.tdur ?? 0) / 1000).toFixed(1)).join(', ')} ms`,
      ...[...kinds]
        .sort(([, a], [, b]) => b.ms - a.ms)
        .slice(0, 22)
        .map(([name, { ms, n }]) => `${name}: ${ms.toFixed(1)} ms in ${n}`),
    ],
  }
}
