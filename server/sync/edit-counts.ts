/** What has become of edits and frames since the process began. */
export interface EditCounts {
  accepted: number
  refused: number
  overwritten: number
  framesRefused: number
}

export const noCounts = (): EditCounts => ({ accepted: 0, refused: 0, overwritten: 0, framesRefused: 0 })

/** Add `more` to `sum`. */
export function addCounts(sum: EditCounts, more: EditCounts): void {
  for (const key of ['accepted', 'refused', 'overwritten', 'framesRefused'] as const) sum[key] += more[key]
}
