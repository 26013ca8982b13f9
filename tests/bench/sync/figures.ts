import { readFileSync } from 'node:fs'

/** Nearest-rank quantile; null for no samples. */
export function quantile(values: readonly number[], p: number): number | null {
  const sorted = Float64Array.from(values).sort()
  return sorted[Math.min(sorted.length - 1, Math.ceil(p * sorted.length) - 1)] ?? null
}

export const distribution = (values: readonly number[]) => ({
  n: values.length,
  p50: quantile(values, 0.5),
  p99: quantile(values, 0.99),
  max: quantile(values, 1),
})

/** Seconds of CPU that a process has used (Linux: proc(5), fields utime and stime at 100 ticks per second). */
export function cpuOf(pid: number): number {
  const stat = readFileSync(`/proc/${pid}/stat`, 'latin1')
  const fields = stat.slice(stat.lastIndexOf(')') + 2).split(' ')
  return (Number(fields[11]) + Number(fields[12])) / 100
}

/** Seconds of CPU that the whole machine has used. */
export function machineCpu(): number {
  const v = (readFileSync('/proc/stat', 'latin1').split('\n')[0] ?? '')
    .trim()
    .split(/\s+/)
    .slice(1)
    .map(Number)
  return ((v[0] ?? 0) + (v[1] ?? 0) + (v[2] ?? 0) + (v[5] ?? 0) + (v[6] ?? 0)) / 100
}

/** The processor load of everything on the machine over a moment, 0 to the number of processors. */
export async function machineLoad(ms: number): Promise<number> {
  const before = machineCpu()
  const start = performance.now()
  await new Promise((r) => setTimeout(r, ms))
  return (machineCpu() - before) / ((performance.now() - start) / 1000)
}

export const show = (x: number | null | undefined, digits = 2): string =>
  x === null || x === undefined || Number.isNaN(x)
    ? '–'
    : x >= 100
      ? Math.round(x).toString()
      : x.toFixed(digits)

/** Rows as a plain text table. */
export function table(head: string[], rows: string[][]): string {
  const widths = head.map((h, i) => Math.max(h.length, ...rows.map((r) => (r[i] ?? '').length)))
  const line = (cells: string[]) =>
    cells.map((x, i) => (i === 0 ? x.padEnd(widths[i] ?? 0) : x.padStart(widths[i] ?? 0))).join('  ')
  return [line(head), widths.map((w) => '─'.repeat(w)).join('  '), ...rows.map(line)].join('\n')
}
