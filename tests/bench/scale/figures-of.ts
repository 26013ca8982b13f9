import type { ServerProcess } from '../../support/server-process'

/** What a server says of itself at `/metrics`. */
export interface OwnFigures {
  rooms: number
  sockets: number
  residentBytes: number
  heapBytes: number
  /** Commits so far: how many, seconds in all, and how many took up to so many seconds. */
  commits: { count: number; seconds: number; upTo: [number, number][] }
}

export async function figuresOf(server: ServerProcess): Promise<OwnFigures> {
  const text = await (await fetch(`http://127.0.0.1:${server.port}/metrics`)).text()
  const one = (name: string) => Number(new RegExp(`^stagecall_${name} (\\S+)$`, 'm').exec(text)?.[1] ?? NaN)
  const upTo = [...text.matchAll(/^stagecall_commit_seconds_bucket\{le="([\d.]+)"\} (\d+)$/gm)]
  return {
    rooms: one('rooms'),
    sockets: one('sockets'),
    residentBytes: one('memory_resident_bytes'),
    heapBytes: one('memory_heap_bytes'),
    commits: {
      count: one('commit_seconds_count'),
      seconds: one('commit_seconds_sum'),
      upTo: upTo.map(([, le, n]) => [Number(le), Number(n)]),
    },
  }
}

/** ms per commit between two looks: the mean, and p99 by straight lines inside the histogram's steps. */
export function commitMs(before: OwnFigures, after: OwnFigures): { mean: number; p99: number } {
  const n = after.commits.count - before.commits.count
  const mean = ((after.commits.seconds - before.commits.seconds) / n) * 1_000
  let [low, under] = [0, 0]
  for (const [i, [le, total]] of after.commits.upTo.entries()) {
    const upTo = total - (before.commits.upTo[i]?.[1] ?? 0)
    if (upTo >= 0.99 * n)
      return { mean, p99: (low + ((le - low) * (0.99 * n - under)) / (upTo - under)) * 1_000 }
    ;[low, under] = [le, upTo]
  }
  return { mean, p99: Infinity }
}
