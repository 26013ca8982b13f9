'use client'
import { changeNamedFields, type DocKind } from '@/lib/board'
import { TIE_KEYS } from '@/lib/core/standings-terms'
import type { Json } from '@/lib/core/json'
import { useAct, useBoard, useMay } from '@/app/sync'
import { choiceWord } from '@/app/words/choice-words'
import { NumberListField } from './number-list-field'
import { OrderedChoices } from './ordered-choices'
import { pointsWords } from './points-words'
import type { FieldGroup } from './record-form'

/** How results become places. */
export const SCORING_GROUPS: readonly FieldGroup[] = [
  {
    title: 'Qualifying',
    fields: [
      { field: 'roundScore', hint: 'Empty: by points where there is a table, else by place.' },
      { field: 'countingRounds', hint: 'The best so many count. Empty: all.' },
      { field: 'equalPlaces', hint: 'What drivers with the same result get.' },
      { field: 'noStart', hint: 'The place that a driver without a start gets.' },
    ],
  },
  {
    title: 'Finals',
    fields: [
      { field: 'legScore', hint: 'Empty: by points where there is a table, else by place.' },
      { field: 'finalLegs' },
      { field: 'countingLegs', hint: 'The best so many count. Empty: all.' },
      { field: 'finalSize', hint: 'Empty: no finals are drawn up.' },
      { field: 'bumpUps', hint: 'How many move up from each lower final. Empty: nobody.' },
    ],
  },
]

/** Everything that the rule book fixes for a class, grouped as inspection and scoring read it. */
export const RULE_GROUPS: readonly FieldGroup[] = [
  {
    fields: [{ field: 'name', isRequired: true }, { field: 'drive' }, { field: 'motorLimit' }],
  },
  {
    title: 'Pack and weight',
    fields: [
      { field: 'cells' },
      { field: 'voltageLimitV', hint: 'Highest pack voltage at inspection.' },
      { field: 'voltageToleranceV', hint: 'How far above the limit the meter may read.' },
      { field: 'maxChargeC', hint: 'Highest charge rate that the event’s rules allow.' },
      { field: 'minimumWeightG' },
      { field: 'maxTireSets', hint: '0 for no limit.' },
      { field: 'dynamicTimingAllowed', hint: 'Boost and turbo may be used.' },
    ],
  },
  {
    title: 'Race',
    fields: [{ field: 'raceSeconds', hint: '300 for five minutes.' }, { field: 'marshalRule' }],
  },
  ...SCORING_GROUPS,
]

/** The lists of a class's scoring rules: points by place, and what breaks a tie in qualifying and in a final. */
export function RuleLists({
  doc,
  collection,
  recordId,
}: {
  doc: DocKind
  collection: 'ruleSheets' | 'classes'
  recordId: string
}) {
  const view = useBoard()
  const act = useAct()
  const may = useMay(doc, collection, recordId, 'pointsTable')
  const record = view[collection].get(recordId)
  const write = (fields: Record<string, Json>, said: string) =>
    void act((ctx) => changeNamedFields(ctx, doc, collection, recordId, fields), said)
  return (
    <div className="form-grid form-grid-top">
      <NumberListField
        label="Points table"
        hint={`Points for first, second, third and so on, separated by commas. ${pointsWords(record?.pointsTable ?? [])}`}
        value={record?.pointsTable ?? []}
        isDisabled={!may}
        onChange={(pointsTable) => write({ pointsTable }, 'Points table changed')}
      />
      <OrderedChoices
        label="Tie rules"
        hint="Applied from the top until the tie is broken."
        options={TIE_KEYS.filter((k) => k !== 'qualifying')}
        word={(k) => choiceWord(k)}
        value={record?.tieChain ?? []}
        isDisabled={!may}
        onChange={(tieChain) => write({ tieChain }, 'Tie rules changed')}
      />
      <OrderedChoices
        label="Tie rules of a final"
        hint="The same for drivers level after the legs."
        options={TIE_KEYS}
        word={(k) => choiceWord(k)}
        value={record?.legTieChain ?? []}
        isDisabled={!may}
        onChange={(legTieChain) => write({ legTieChain }, 'Tie rules of the final changed')}
      />
    </div>
  )
}
