'use client'
import { useState } from 'react'
import { Button, Dialog, FormField } from '@/app/ui'

/** What drivers say most at staging, in one tap each. Common practice, no source. */
const REASONS = [
  'Not the setup we agreed on',
  'Steering is off',
  'Wrong tires',
  'Pack not in',
  'Something is loose',
  'No radio response',
] as const

export interface SendBackProps {
  carName: string
  isOpen: boolean
  onOpenChange: (open: boolean) => void
  /** True when it was taken. */
  onSend: (why: string) => boolean
}

/** Why a car goes back: reasons to tap, and a line for everything else. */
export function SendBack({ carName, isOpen, onOpenChange, onSend }: SendBackProps) {
  const [chosen, setChosen] = useState<readonly string[]>([])
  const [more, setMore] = useState('')
  const why = [...chosen, more.trim()].filter(Boolean).join('. ')
  const flip = (reason: string) =>
    setChosen((all) => (all.includes(reason) ? all.filter((r) => r !== reason) : [...all, reason]))
  const send = () => {
    if (!onSend(why)) return
    onOpenChange(false)
    setChosen([])
    setMore('')
  }
  return (
    <Dialog
      title={`Send ${carName} back`}
      isOpen={isOpen}
      onOpenChange={onOpenChange}
      acts={() => (
        <Button look="do" isDisabled={why === ''} onPress={send}>
          Send back
        </Button>
      )}
    >
      <div role="group" aria-label="What is wrong?" className="reasons">
        {REASONS.map((reason) => (
          <button
            key={reason}
            type="button"
            className="choice"
            aria-pressed={chosen.includes(reason)}
            data-selected={chosen.includes(reason) ? '' : undefined}
            onClick={() => flip(reason)}
          >
            {reason}
          </button>
        ))}
      </div>
      <FormField
        label="In your own words"
        value={more}
        onChange={setMore}
        maxLength={200}
        hint="The mechanics see it right away at the top of their jobs."
      />
    </Dialog>
  )
}
