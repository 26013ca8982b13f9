'use client'
import { useRef, useState } from 'react'
import { describeField } from '@/lib/board'
import {
  conditionFace,
  noteConditions,
  type ConditionFigure,
  type ConditionsReading,
} from '@/lib/board/edits/condition-edits'
import { latestCondition } from '@/lib/card/projections/latest-condition'
import { refuse, type Refusal } from '@/lib/core/result'
import { useBoard, useEditContext, useSettle } from '@/app/sync'
import { Button, Dialog, FormField, NumberEntry, RefusalText } from '@/app/ui'

/** What a tap adds, how far apart the likely readings stand, and where taps begin before anybody said anything. Common practice, no source. */
const FIGURES = [
  { field: 'airC', step: 0.5, apart: 1, start: 20 },
  { field: 'trackC', step: 0.5, apart: 1, start: 20 },
  { field: 'humidityPercent', step: 1, apart: 5, start: 50 },
  {
    field: 'grip',
    step: 0.05,
    apart: 0.05,
    start: 1,
    // The middles of the usual ranges that cards assume.
    hint: 'How hard the tires hold, as a share of the car’s weight: about 0.5 on dust, 1 on clay, 1.25 on carpet.',
  },
] as const

/** One reading of the conditions: whatever was measured or seen just now. */
export function ConditionsDialog({ onClose }: { onClose: () => void }) {
  const view = useBoard()
  const ctx = useEditContext()
  const settle = useSettle()
  const [values, setValues] = useState<ConditionsReading>({})
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  // A field that is left while “Save” is pressed still counts, before the next rendering.
  const now = useRef<{ values: ConditionsReading; unfit: Set<ConditionFigure> }>({
    values: {},
    unfit: new Set(),
  })
  const put = (more: ConditionsReading) => {
    now.current.values = { ...now.current.values, ...more }
    setValues(now.current.values)
    setRefusal(null)
  }
  const save = () => {
    // Not every browser takes the focus, and with it what was typed, out of a field when a button is pressed.
    if (document.activeElement instanceof HTMLInputElement) document.activeElement.blur()
    const [unfit] = now.current.unfit
    const done = unfit
      ? refuse(conditionFace(unfit).label, '', 'does not fit', 'Correct it, or empty it.')
      : noteConditions(ctx, now.current.values)
    if (!done.ok) return setRefusal(done.error)
    settle(done, 'Conditions saved')
    onClose()
  }
  return (
    <Dialog
      title="Conditions now"
      isOpen
      onOpenChange={(open) => !open && onClose()}
      acts={() => (
        <>
          {/* Beside the button: the field may be out of sight. */}
          {refusal && (
            <p className="refusal w-full" role="alert">
              <RefusalText refusal={refusal} />
            </p>
          )}
          <Button look="do" onPress={save}>
            Save the reading
          </Button>
        </>
      )}
    >
      <p className="small">Enter what you know. The rest stays as last said.</p>
      {FIGURES.map(({ field, step, apart, start, ...f }) => {
        const face = conditionFace(field)
        const last = latestCondition(view, field)?.[field]?.v
        return (
          <NumberEntry
            quick
            key={field}
            {...face}
            hint={'hint' in f ? f.hint : undefined}
            step={step}
            value={values[field] ?? null}
            near={last == null ? [] : likely(last, apart).filter((v) => v >= face.min && v <= face.max)}
            start={last ?? start}
            onChange={(v) => put({ [field]: v ?? undefined })}
            onFits={(fits) => void now.current.unfit[fits ? 'delete' : 'add'](field)}
          />
        )
      })}
      <FormField
        label="In words"
        hint="Dust, a dark line, water, wind."
        value={values.text ?? ''}
        onChange={(text) => put({ text })}
        multiline
        maxLength={describeField('meeting', 'conditions', 'text').maxLength}
      />
    </Dialog>
  )
}

/** Five readings around the last one. */
const likely = (last: number, apart: number): number[] =>
  [-2, -1, 0, 1, 2].map((d) => Number((last + d * apart).toFixed(2)))
