import type { ChargeInstance } from './charge-instance'
import { alike, handsAt } from './charge-instance'

/**
 * Whether the day needs more charges than its channels can give in time, counted without a search: packs have no names here, each charge
 * is as short as the shortest, on any channel, and begins as soon as any pack, channel and hand is free. No plan can have its k-th charge
 * earlier than that, so where even these come too late there is no plan. (With charges of one length, beginning each as soon as possible
 * makes every k-th start as early as it can be: each is the latest of a release, an earlier end on a channel and an earlier start, all of
 * which only move later when any start does.)
 *
 * Says nothing (false) where the facts that it counts are set aside, and ignores all that it does not count.
 */
export function tooFewCharges(instance: ChargeInstance): boolean {
  const { dropped, runs, packs, groups, input } = instance
  if ([...dropped].some((f) => f.startsWith('pack:') || f.startsWith('channels:'))) return false
  const watts = Math.min(...packs.flatMap((p) => [...p.first, ...p.later].map((o) => o.watts)))
  const openings = input.supplies.flatMap((supply) => {
    const own = groups.filter((g) => g.supplyId === supply.id).flatMap((g) => g.from)
    const most = dropped.has(`supply:${supply.id}`) ? Infinity : Math.floor(supply.maxWatts / watts)
    return own.sort((a, b) => a - b).slice(0, most)
  })
  const share = Math.min(1, ...runs.map((r) => r.run.chargeShare ?? 1))
  const shortest = (options: readonly { steps: number }[]): number =>
    Math.max(1, Math.ceil(Math.min(...options.map((o) => o.steps)) * share))
  const length = shortest(packs.flatMap((p) => p.later))
  const ready: number[] = []
  const releases = runs.map((r) => r.again)
  for (const p of packs) {
    const from = Math.max(instance.now, p.available)
    if (p.pack.state === 'full') ready.push(p.available)
    else if (alike(p)) releases.push(from)
    // Shorter than one after a run: it takes no channel here.
    else if (p.first.length) ready.push(from + shortest(p.first))
  }
  // Only the most hands that there ever are.
  const hands =
    input.rules.handsPerStep === null
      ? Infinity
      : handsAt({ ...instance, input: { ...input, rules: { ...input.rules, handsBusy: [] } } }, 0)
  const starts: number[] = []
  if (openings.length > 0 && hands > 0 && Number.isFinite(length))
    for (const release of releases.sort((a, b) => a - b)) {
      openings.sort((a, b) => a - b)
      const start = Math.max(release, openings[0] ?? 0, (starts[starts.length - hands] ?? -Infinity) + 1)
      starts.push(start)
      openings[0] = start + length
      ready.push(start + length)
    }
  ready.sort((a, b) => a - b)
  return runs.some((run, k) => (ready[k] ?? Infinity) > run.ready)
}
