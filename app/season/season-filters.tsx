'use client'
import { useState } from 'react'
import { SEASON_SIDES } from '@/lib/season'
import { Button, FormField, SelectField, Ticket, TicketBody } from '@/app/ui'
import { hasKeys } from '@/app/ui/has-keys'
import { PAGE, withFilter } from './season-address'
import type { ChangeQuestion, SeasonAnswer, SeasonQuestion } from './season-messages'
import { SIDE_WORDS } from './season-text'

/** What is looked for: words, and what runs must have. On a phone the lists stay folded until they are wanted. */
export function SeasonFilters({
  question,
  answer,
  set,
}: {
  question: SeasonQuestion
  answer: SeasonAnswer | null
  set: ChangeQuestion
}) {
  const chosen = SEASON_SIDES.filter((s) => question.filter[s] !== undefined)
  const [isOpen, setOpen] = useState<boolean | null>(null)
  // The field's own: what is typed must never be overtaken by an answer to less of it.
  const [text, setText] = useState(question.search)
  const look = (search: string) => {
    setText(search)
    set((now) => ({ ...now, search, most: PAGE }))
  }
  const shown = isOpen ?? hasKeys()
  const labelOf = (side: (typeof SEASON_SIDES)[number]) =>
    answer?.choices[side].find((c) => c.id === question.filter[side])?.label ?? '…'
  return (
    <Ticket label="Find runs">
      <TicketBody>
        <FormField
          label="Find"
          type="search"
          value={text}
          onChange={look}
          hint="Words, values, names, notes, tracks: “loose on entry”, “pinion 22 Rook”"
          maxLength={200}
        />
        <div className="btn-row no-print">
          <Button aria-expanded={shown} onPress={() => setOpen(!shown)}>
            {chosen.length === 0 ? 'Filter' : `Filter: ${chosen.map(labelOf).join(', ')}`}
          </Button>
          {(chosen.length > 0 || question.search !== '') && (
            <Button
              onPress={() => {
                setText('')
                set((now) => ({ ...now, filter: {}, search: '', most: PAGE }))
              }}
            >
              Show all
            </Button>
          )}
        </div>
      </TicketBody>
      {shown && (
        <div className="season-filters no-print">
          {SEASON_SIDES.map((side) => (
            <SelectField
              key={side}
              label={SIDE_WORDS[side]}
              none="Any"
              options={(answer?.choices[side] ?? []).map((c) => ({
                id: c.id,
                label: c.label,
                detail: String(c.runs),
              }))}
              value={question.filter[side] ?? null}
              onChange={(id) => set((now) => withFilter(now, side, id))}
            />
          ))}
        </div>
      )}
    </Ticket>
  )
}
