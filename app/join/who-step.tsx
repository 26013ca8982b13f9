'use client'
import { useId, useState, type ReactNode } from 'react'
import type { Refusal } from '@/lib/core/result'
import type { PreviewResponse } from '@/lib/join/join-api'
import type { Role } from '@/lib/core/role'
import { Button } from '@/app/ui/button'
import { Choice } from '@/app/ui/choice-field'
import { FormField } from '@/app/ui/form-field'
import { RefusalText } from '@/app/ui/panels'
import { TicketBody } from '@/app/ui/ticket'

const ROLE_WORDS: Record<Role, string> = {
  manager: 'You run the board: you can change everything, invite people and remove phones.',
  mechanic: 'You fit, read back, sign and charge. You can assign values and packs.',
  driver: 'You check and accept your own cars, and say what they need.',
  guest: 'You watch. You can’t change anything from this phone.',
}
const NEW = '–new–'

export interface WhoStepProps {
  offer: PreviewResponse
  refusal: Refusal | null
  busy: boolean
  onJoin: (who: { name?: string; personId?: string }) => void
  onBack: () => void
  children?: ReactNode
}

/** Who are you? Somebody the board knows already, or a new name. */
export function WhoStep({ offer, refusal, busy, onJoin, onBack, children }: WhoStepProps) {
  const { people, role } = offer
  const meant = people.find((p) => p.name === offer.name)
  const [personId, setPersonId] = useState(meant?.id ?? (people.length ? '' : NEW))
  const [name, setName] = useState(meant ? '' : (offer.name ?? ''))
  const group = useId()
  const asNew = people.length === 0 || personId === NEW
  const ready = asNew ? name.trim() !== '' : personId !== ''
  return (
    <TicketBody>
      <p>
        This code makes you a <b>{role}</b>. {ROLE_WORDS[role]}
      </p>
      <form
        className="grid gap-4"
        onSubmit={(e) => {
          e.preventDefault()
          if (ready && !busy) onJoin(asNew ? { name } : { personId })
        }}
      >
        {people.length > 0 && (
          <div role="radiogroup" className="field" aria-labelledby={group}>
            <span id={group} className="field-label">
              Who are you?
            </span>
            <div className="grid">
              {people.map((p) => (
                <Choice
                  key={p.id}
                  asRow
                  name={group}
                  isSelected={personId === p.id}
                  onChoose={() => setPersonId(p.id)}
                >
                  <span>{p.name}</span>
                  {p.joined && <span className="text-sm">has a phone here already</span>}
                </Choice>
              ))}
              <Choice asRow name={group} isSelected={personId === NEW} onChoose={() => setPersonId(NEW)}>
                Somebody else
              </Choice>
            </div>
          </div>
        )}
        {asNew && (
          <FormField
            label="Your name"
            hint="What the crew calls you. It shows next to everything you do."
            value={name}
            onChange={setName}
            autoComplete="name"
            maxLength={60}
            autoFocus={people.length === 0}
            refusal={refusal?.field === 'Name' ? refusal : null}
          />
        )}
        {refusal && !(asNew && refusal.field === 'Name') && (
          <p className="refusal" role="alert">
            <RefusalText refusal={refusal} />
          </p>
        )}
        {children}
        <div className="btn-row">
          <Button onPress={onBack}>Another code</Button>
          <Button type="submit" look="do" isDisabled={!ready || busy}>
            {busy ? 'Joining' : 'Join'}
          </Button>
        </div>
      </form>
    </TicketBody>
  )
}
