'use client'
import { useState } from 'react'
import { canWrite, describeField, removeRecord } from '@/lib/board'
import { latestCondition, type ConditionField } from '@/lib/card/projections/latest-condition'
import { figureText } from '@/lib/core/figure-text'
import { SavedMark, useAct, useBoard, useEditContext, useMay, useNameOf, useNow } from '@/app/sync'
import {
  Button,
  Figure,
  Figures,
  Ticket,
  TicketBody,
  TicketHead,
  TicketSection,
  timeText,
  whenText,
} from '@/app/ui'
import { CONDITION_FIELDS, conditionReadings, type SaidConditions } from './condition-readings'
import { ConditionsDialog } from './conditions-dialog'

const FEW = 4
const FIGURES = [
  { field: 'airC', short: 'Air' },
  { field: 'trackC', short: 'Track' },
  { field: 'humidityPercent', short: 'Humidity' },
  { field: 'grip', short: 'Grip' },
] as const

/** Air, track and grip of the day: what was last said of each, by whom, and the readings before. Cards take the air and the grip from here. */
export function ConditionsPart() {
  const view = useBoard()
  const may = useMay('meeting', 'conditions', 'new', 'airC')
  const [adding, setAdding] = useState(false)
  const [all, setAll] = useState(false)
  const readings = conditionReadings(view)
  const words = latestCondition(view, 'text')
  return (
    <Ticket id="conditions" label="Conditions">
      <TicketHead
        title="Conditions"
        sub="cards take air temperature and grip from here; without a grip, the track’s own"
      />
      <div className="grid grid-cols-1 lg:grid-cols-2">
        <div>
          {readings.length === 0 ? (
            <p className="ticket-body">
              Nothing entered yet.{' '}
              {may ? 'Until then cards assume a usual air temperature.' : 'The crew enters it.'}
            </p>
          ) : (
            <Figures label="Conditions now">
              {FIGURES.map(({ field }) => {
                const said = latestCondition(view, field)
                const { label, unit } = describeField('meeting', 'conditions', field)
                return (
                  <Figure
                    key={field}
                    label={label}
                    value={said?.[field]?.v == null ? null : figureText(said[field].v)}
                    unit={unit}
                    missing="not entered"
                  >
                    {said && <SaidBy reading={said} field={field} />}
                  </Figure>
                )
              })}
            </Figures>
          )}
          {words?.text && (
            <TicketBody>
              <div>
                <p className="whitespace-pre-wrap">{words.text.v}</p>
                <SaidBy reading={words} field="text" />
              </div>
            </TicketBody>
          )}
          {may && (
            <div className="ticket-body no-print">
              <Button look="do" onPress={() => setAdding(true)}>
                Add a reading
              </Button>
            </div>
          )}
        </div>
        {readings.length > 0 && (
          <div>
            <TicketSection title="Readings" aside={<span className="small">newest first</span>} />
            <ul className="ruled" aria-label="Readings">
              {(all ? readings : readings.slice(0, FEW)).map((r) => (
                <li key={r.reading.id} data-reading={r.reading.id}>
                  <ReadingRow {...r} />
                </li>
              ))}
            </ul>
            {readings.length > FEW && (
              <div className="no-print">
                <Button look="quiet" wide aria-expanded={all} onPress={() => setAll(!all)}>
                  {all ? 'Only the latest' : `All ${readings.length} readings`}
                </Button>
              </div>
            )}
          </div>
        )}
      </div>
      {adding && <ConditionsDialog onClose={() => setAdding(false)} />}
    </Ticket>
  )
}

/** Who said the value of a field, and when. */
function SaidBy({ reading, field }: { reading: SaidConditions['reading']; field: ConditionField }) {
  const nameOf = useNameOf()
  const now = useNow(10_000)
  const stamp = reading[field]
  return (
    <span className="small block">
      {nameOf(stamp?.by)}, {whenText(stamp?.at ?? 0, now)}{' '}
      <SavedMark doc="meeting" collection="conditions" recordId={reading.id} field={field} />
    </span>
  )
}

function ReadingRow({ reading, by, at }: SaidConditions) {
  const act = useAct()
  const nameOf = useNameOf()
  const now = useNow(10_000)
  const ctx = useEditContext()
  // Whoever may not write over what was said may not remove it either.
  const may = CONDITION_FIELDS.every(
    (field) => !reading[field] || canWrite(ctx, 'meeting', 'conditions', reading.id, field),
  )
  const figures = FIGURES.filter(({ field }) => reading[field]?.v != null)
  return (
    <div className="flex items-center gap-2 px-(--gutter) py-2">
      <div className="grow min-w-0">
        {figures.length > 0 && (
          <p>
            {figures.map(({ field, short }, i) => (
              <span key={field}>
                {i > 0 && ' · '}
                {short}{' '}
                <span className="num">
                  {figureText(reading[field]?.v ?? Number.NaN, {
                    unit: describeField('meeting', 'conditions', field).unit,
                  })}
                </span>
              </span>
            ))}
          </p>
        )}
        {reading.text?.v && <p className="whitespace-pre-wrap">{reading.text.v}</p>}
        <span className="small">
          {nameOf(by)}, {whenText(at, now)}{' '}
          <SavedMark doc="meeting" collection="conditions" recordId={reading.id} field={CONDITION_FIELDS} />
        </span>
      </div>
      {may && (
        <div className="no-print">
          <Button
            aria-label={`Remove the reading of ${timeText(at)}`}
            onPress={() =>
              void act(
                (mine) => removeRecord(mine, 'meeting', 'conditions', reading.id),
                `Reading of ${timeText(at)} removed`,
              )
            }
          >
            Remove
          </Button>
        </div>
      )}
    </div>
  )
}
