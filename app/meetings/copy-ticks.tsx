import { changedRules, splitId, type BoardView, type CopyChoice } from '@/lib/board'
import { Tick } from '@/app/ui'
import { nameOf } from '@/app/record/ref-options'
import { choiceWord } from '@/app/words/choice-words'

/** What a new meeting takes over from a past one, each with how much of it there is; and what needs no copying. */
export function CopyTicks({
  past,
  copy,
  onChange,
}: {
  past: BoardView
  copy: CopyChoice
  onChange: (copy: CopyChoice) => void
}) {
  const asked = valuesOf(past, 'assigned')
  const fitted = valuesOf(past, 'fitted')
  const changed = past.classes.live.filter((c) => Object.keys(changedRules(past, c.id)).length > 0)
  const meeting = past.meeting.get('meeting')
  const set = (field: keyof CopyChoice) => (on: boolean) => onChange({ ...copy, [field]: on })
  return (
    <div>
      <Tick
        isSelected={copy.classes}
        onChange={set('classes')}
        detail={past.classes.live.map(nameOf).join(', ') || 'it has none'}
      >
        {counted(past.classes.live.length, 'class', 'classes')} with their rules
      </Tick>
      {copy.classes && changed.length > 0 && (
        <Tick
          isSelected={copy.sheetsToday}
          onChange={set('sheetsToday')}
          detail={`changed since then: ${changed.map(nameOf).join(', ')}`}
        >
          Rules as the rule sheets say today
        </Tick>
      )}
      <Tick
        isSelected={copy.rounds}
        onChange={set('rounds')}
        detail={past.rounds.live.map(nameOf).join(', ') || 'it has none'}
      >
        {counted(past.rounds.live.length, 'round', 'rounds')}
      </Tick>
      <Tick
        isSelected={copy.day}
        onChange={set('day')}
        detail={`call ${(meeting?.stagingLeadSeconds ?? 300) / 60} min before the start; ${marshalsBy(
          meeting?.marshalRule ?? 'after-own-heat',
        )}`}
      >
        Call and marshal rule
      </Tick>
      <Tick isSelected={copy.assigned} onChange={set('assigned')} detail={asked}>
        What the cards ask for
      </Tick>
      <Tick
        isSelected={copy.fitted}
        onChange={set('fitted')}
        detail={`${fitted}, marked as last fitted there; speed control values need reading back again`}
      >
        What was in the cars
      </Tick>
      <p className="small">
        Always there, because it is in the kit: {inKit(past)}. The track is chosen above, with its pieces.
      </p>
    </div>
  )
}

const marshalsBy = (rule: string) =>
  rule === 'none' ? 'no marshal rule' : choiceWord(rule, 'marshalRule').toLowerCase()

const counted = (n: number, one: string, many: string) => `${n} ${n === 1 ? one : many}`

/** How many values of how many cars, as a copy takes them: none of a car that was removed. */
function valuesOf(past: BoardView, side: 'assigned' | 'fitted'): string {
  const cars = past.cardValues.live
    .filter((v) => v[side]?.v != null)
    .map((v) => splitId(v.id)[0])
    .filter((carId) => past.cars.get(carId)?.removed === undefined)
  return `${counted(cars.length, 'value', 'values')} of ${counted(new Set(cars).size, 'car', 'cars')}`
}

const inKit = (view: BoardView) =>
  [
    counted(view.people.live.length, 'person', 'people'),
    counted(view.cars.live.length, 'car', 'cars'),
    counted(view.checklists.live.length, 'checklist', 'checklists'),
    counted(view.ruleSheets.live.length, 'rule sheet', 'rule sheets'),
    counted(view.packs.live.length, 'pack', 'packs'),
    counted(view.tireSets.live.length, 'tire set', 'tire sets'),
  ].join(', ')
