import { DEMO_CHARGERS, DEMO_PACKS } from './kit-data'
import type { ChargeJob } from './run-acts'
import { MINUTE } from './story'

/** A charge at 1C from storage takes most of half an hour, and the taper; one after a run, with four fifths left, less. */
const FROM_STORAGE = 34 * MINUTE
const AFTER_RUN = 22 * MINUTE

export interface WantedCharge {
  packId: string
  runId: string
  afterRunId: string | null
  earliest: number
  mah: ChargeJob['mah']
  /** How often this pack has been charged before today, in this plan. */
  charges: number
}

/** Give every wanted charge the channel that is free first. */
export function chargeJobs(wanted: readonly WantedCharge[]): ChargeJob[] {
  const channels = DEMO_CHARGERS.flatMap((c) =>
    Array.from({ length: c.channels ?? 0 }, (_, i) => ({ chargerId: c.id, channel: i + 1, freeAt: 0 })),
  )
  return [...wanted]
    .sort((a, b) => a.earliest - b.earliest)
    .map((want) => {
      const channel = channels.reduce((a, b) => (b.freeAt < a.freeAt ? b : a))
      const from = Math.max(want.earliest, channel.freeAt)
      const takes = want.afterRunId ? AFTER_RUN : FROM_STORAGE
      // Two minutes to unplug one pack and plug the next one in.
      channel.freeAt = from + takes + 2 * MINUTE
      const pack = DEMO_PACKS.find((p) => p.id === want.packId)
      return {
        id: `charge-${want.runId}`,
        packId: want.packId,
        runId: want.runId,
        afterRunId: want.afterRunId,
        chargerId: channel.chargerId,
        channel: channel.channel,
        currentA: Number(((pack?.capacityMah ?? 6000) / 1000).toFixed(1)),
        from,
        to: from + takes,
        mah: want.mah,
        cycles: (pack?.cycles ?? 0) + want.charges,
      }
    })
}
