'use client'
import { useBoard } from '@/app/sync'
import { useState } from 'react'
import { CARD_GROUPS } from '@/lib/board'
import { Button, FormField, SelectField, Ticket, TicketBody, TicketHead, TicketSection } from '@/app/ui'
import { rangeHintText } from '@/lib/core/parse-number'
import type { TrialField, TrialPart, TrialState } from './use-trial'

/** Values that the lap model reads; the others can be proposed from here, but change no figure. */
const READ_BY_MODEL = new Set(['pinion', 'spur', 'motorTiming', 'tireDiameter', 'weight', 'startVoltage'])
const movesFigures = (f: TrialField): boolean =>
  READ_BY_MODEL.has(f.parameter.id) || (f.parameter.quantity !== undefined && f.parameter.quantity !== 'none')

/** Any value of the card as a trial, beside what the card says today. */
export function TrialForm({ carId, trial }: { carId: string; trial: TrialState }) {
  const view = useBoard()
  const [others, setOthers] = useState(false)
  const car = view.cars.get(carId)
  const shown = trial.fields.filter((f) => others || movesFigures(f) || f.isChanged)
  const part = (
    id: TrialPart,
    label: string,
    now: string | null,
    options: { id: string; label: string }[],
  ) => (
    <SelectField
      label={label}
      options={options}
      none={now ? `No change: ${now}` : 'No change'}
      value={trial.parts[id] ?? null}
      onChange={(v) => trial.setPart(id, v)}
    />
  )
  return (
    <Ticket label="Trial">
      <TicketHead
        title="Trial"
        sub={
          trial.changed.length + Object.keys(trial.parts).length === 0
            ? 'change a value; the card stays as it is'
            : `${trial.changed.length + Object.keys(trial.parts).length} changed; the card stays as it is`
        }
      />
      {CARD_GROUPS.map((g) => {
        const own = shown.filter((f) => f.parameter.group === g.id)
        const parts = g.id === 'drive' || g.id === 'pack' || g.id === 'tires'
        if (own.length === 0 && !parts) return null
        return (
          <section key={g.id} aria-label={g.name}>
            <TicketSection title={g.name} level={3} />
            <div className="trial-fields">
              {g.id === 'drive' &&
                part(
                  'motor',
                  'Motor',
                  view.motors.get(car?.motorId)?.name ?? null,
                  view.motors.live.map((m) => ({ id: m.id, label: m.name ?? m.id })),
                )}
              {g.id === 'pack' &&
                part(
                  'pack',
                  'Pack',
                  null,
                  view.packs.live.map((p) => ({
                    id: p.id,
                    label: [
                      p.label,
                      p.capacityMah && `${p.capacityMah} mAh`,
                      p.resistanceMilliohm && `${p.resistanceMilliohm} mΩ`,
                    ]
                      .filter(Boolean)
                      .join(', '),
                  })),
                )}
              {g.id === 'tires' &&
                part(
                  'tires',
                  'Tire set',
                  null,
                  view.tireSets.live.map((t) => ({
                    id: t.id,
                    label: [t.label, t.compound, t.diameterMm && `${t.diameterMm} mm`]
                      .filter(Boolean)
                      .join(', '),
                  })),
                )}
              {own.map((f) => (
                <Field key={f.parameter.id} field={f} trial={trial} />
              ))}
            </div>
          </section>
        )
      })}
      <TicketBody>
        <div className="btn-row">
          <Button onPress={() => setOthers(!others)} aria-expanded={others}>
            {others ? 'Only values that change the figures' : 'All values of the card'}
          </Button>
          <Button
            onPress={trial.reset}
            isDisabled={trial.changed.length === 0 && Object.keys(trial.parts).length === 0 && !trial.refusal}
          >
            Back to today’s card
          </Button>
        </div>
        {others && (
          <p className="small">
            Suspension, oils and radio are not in the lap model. You can propose them from here, but no figure
            changes.
          </p>
        )}
      </TicketBody>
    </Ticket>
  )
}

function Field({ field: f, trial }: { field: TrialField; trial: TrialState }) {
  const p = f.parameter
  const today = f.today === null ? 'nothing today' : `today ${String(f.today)}`
  const range = rangeHintText(p)
  return (
    <div data-trial={p.id} data-changed={f.isChanged ? '' : undefined} className="trial-field">
      <FormField
        label={p.unit ? `${p.label}, ${p.unit}` : p.label}
        hint={[today, range].filter(Boolean).join(', ')}
        value={f.text}
        onChange={(text) => trial.setText(p.id, text)}
        inputMode={p.kind === 'number' ? 'decimal' : 'text'}
        refusal={f.refusal}
        maxLength={120}
      />
    </div>
  )
}
