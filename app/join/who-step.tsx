'use client'
import { useState, type ReactNode } from 'react'
import { Radio, RadioGroup, Label } from 'react-aria-components'
import type { Refusal } from '@/lib/core/result'
import type { PreviewResponse } from '@/lib/join/join-api'
import type { Role } from '@/lib/core/role'
import { Button, FormField, RefusalText, TicketBody } from '@/app/ui'

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
          <RadioGroup className="field" value={personId} onChange={setPersonId}>
            <Label className="field-label">Who are you?</Label>
            <div className="grid">
              {people.map((p) => (
                <Radio key={p.id} value={p.id} className="choice choice-row">
                  <span>{p.name}</span>
                  {p.joined && <span className="text-sm">has a phone here already</span>}
                </Radio>
              ))}
              <Radio value={NEW} className="choice choice-row">
                Somebody else
              </Radio>
            </div>
          </RadioGroup>
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
