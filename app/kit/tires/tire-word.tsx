'use client'
import { useBoard } from '@/app/sync'
import { nameOf } from '@/app/record/ref-options'
import { TIRE_STATE_WORDS } from '@/app/words/tire-states'

/** A tire set's state as a framed word. */
export function TireWord({ tireSetId }: { tireSetId: string }) {
  const view = useBoard()
  const set = view.tireSets.get(tireSetId)
  const face = set?.state?.v ? TIRE_STATE_WORDS[set.state.v] : null
  const car = set?.state?.v === 'on-car' ? nameOf(view.cars.get(set.onCarId)) : ''
  return (
    <span className="kit-row-side">
      <span className="state-word" data-tone={face?.tone ?? (face ? undefined : 'quiet')}>
        {car ? `on ${car}` : (face?.word ?? 'state not known')}
      </span>
    </span>
  )
}
