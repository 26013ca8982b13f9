'use client'
import { useState } from 'react'
import { ENCODINGS, SEPARATION_NAMES, SEPARATIONS, type Separation } from '@/lib/tables'
import { Button, ChoiceField, FormField, SelectField, Tick, TicketSection } from '@/app/ui'
import type { Import } from './use-import'

const FOUND_BY = {
  mark: 'by its byte order mark',
  bytes: 'by its bytes',
  guess: 'guessed from its letters',
  choice: 'as you chose',
} as const

/** How the file was taken apart, and the few things that it may not say itself. */
export function ReadingStep({ work }: { work: Import }) {
  const { text, table, layout } = work.understood
  const [open, setOpen] = useState(false)
  if (!text || !table) return null
  const header = layout?.headerLines ?? []
  const found = [
    SEPARATION_NAMES[table.by],
    work.source?.pasted ? null : `${text.encoding}, ${FOUND_BY[text.foundBy]}`,
    header.length === 0 ? 'no header line' : `header on line ${header.join(' and ')}`,
  ].filter(Boolean)
  return (
    <>
      <TicketSection title="How the file is read" level={2} />
      <div className="px-[var(--gutter)] py-1 flex flex-wrap items-center justify-between gap-x-6">
        <p>{found.join('; ')}.</p>
        <div className="flex flex-wrap items-center gap-x-4">
          <Tick isSelected={open} onChange={setOpen}>
            Change it
          </Tick>
          <Button look="quiet" onPress={() => work.take(null)}>
            Another file
          </Button>
        </div>
      </div>
      {open && (
        <div className="form-grid">
          {!work.source?.pasted && (
            <SelectField
              label="Encoding"
              hint="Try another one if names show wrong letters."
              options={ENCODINGS.map((e) => ({ id: e, label: e }))}
              value={work.settings.encoding}
              none={`Detected: ${text.encoding}`}
              onChange={(encoding) => work.change({ encoding })}
            />
          )}
          <SelectField
            label="Cells"
            options={SEPARATIONS.map((d) => ({ id: d, label: SEPARATION_NAMES[d] }))}
            value={work.settings.by}
            none={`Detected: ${SEPARATION_NAMES[table.by]}`}
            onChange={(d) => work.change({ by: (d ?? null) as Separation | null })}
          />
          <HeaderLines key={header.join()} work={work} />
          <ChoiceField
            label="Dates such as 4/10"
            options={[
              { id: 'day-first', label: 'Day first' },
              { id: 'month-first', label: 'Month first' },
            ]}
            value={work.reading.dateOrder}
            onChange={(id) =>
              work.changeReading({ dateOrder: id === 'month-first' ? 'month-first' : 'day-first' })
            }
          />
          <FormField
            label="Round for rows without one"
            value={work.reading.defaultRound}
            maxLength={40}
            onChange={(defaultRound) => work.changeReading({ defaultRound })}
          />
          <FormField
            label="Class for rows without one"
            value={work.reading.defaultClass}
            maxLength={80}
            onChange={(defaultClass) => work.changeReading({ defaultClass })}
          />
          <Tick
            isSelected={work.reading.rollOver}
            onChange={(rollOver) => work.changeReading({ rollOver })}
            detail="Turn off for lists that are not in time order."
          >
            A time more than six hours earlier is the next day
          </Tick>
        </div>
      )}
    </>
  )
}

/** The header may be none, one or two lines. */
function HeaderLines({ work }: { work: Import }) {
  const header = work.understood.layout?.headerLines ?? []
  const [text, setText] = useState(header.join(', '))
  const lines = text
    .split(/[^\d]+/)
    .filter((t) => t !== '')
    .map(Number)
  return (
    <div onBlur={() => lines.join() !== header.join() && work.change({ headerLines: lines.slice(0, 2) })}>
      <FormField
        label="Header lines"
        hint="One line, two as in 4, 5, or none."
        value={text}
        inputMode="numeric"
        onChange={setText}
      />
    </div>
  )
}
