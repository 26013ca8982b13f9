'use client'
import { useBoard } from '@/app/sync'
import { packStateWord } from '@/app/words/pack-states'

/** A pack's state as a framed word, with its last voltage. */
export function PackWord({ packId }: { packId: string }) {
  const pack = useBoard().packs.get(packId)
  const state = pack?.state?.v
  const volts = pack?.restVoltageV?.v
  const face = state ? packStateWord(state) : null
  return (
    <span className="kit-row-side flex flex-wrap items-center justify-end gap-2">
      {volts !== null && volts !== undefined && <span className="num">{volts.toFixed(2)} V</span>}
      <span className="state-word" data-tone={face?.tone ?? (face ? undefined : 'quiet')}>
        {face?.word ?? 'no state'}
      </span>
    </span>
  )
}
