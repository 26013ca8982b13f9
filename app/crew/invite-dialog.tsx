'use client'
import { useState } from 'react'
import { ROLES, isRole, type Role } from '@/lib/core/role'
import type { Refusal } from '@/lib/core/result'
import { DEFAULT_HOURS, MAX_HOURS } from '@/lib/join/invitation'
import type { InviteResponse } from '@/lib/join/join-api'
import { Button, ChoiceField, Dialog, FormField, HelpNote, NumberEntry, Tick } from '@/app/ui'
import { RefusalText } from '@/app/ui/panels'
import { callApi } from '@/app/ui/call-api'

export interface InviteDialogProps {
  isOpen: boolean
  onOpenChange: (open: boolean) => void
  onMade: (invitation: InviteResponse) => void
}

/** For whom, how long, and for how many phones. */
export function InviteDialog({ isOpen, onOpenChange, onMade }: InviteDialogProps) {
  const [role, setRole] = useState<Role>('mechanic')
  const [name, setName] = useState('')
  const [hours, setHours] = useState<number | null>(DEFAULT_HOURS)
  const [singleUse, setSingleUse] = useState(true)
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const [busy, setBusy] = useState(false)
  // Each invitation begins with the safe choice: a code for many is meant for that once.
  const [wasOpen, setWasOpen] = useState(isOpen)
  if (isOpen !== wasOpen) {
    setWasOpen(isOpen)
    if (isOpen) setSingleUse(true)
  }

  const make = async () => {
    setBusy(true)
    const done = await callApi<InviteResponse>('/api/crew/invitations', {
      role,
      hours: hours ?? DEFAULT_HOURS,
      singleUse,
      ...(name.trim() && { name }),
    })
    setBusy(false)
    if (!done.ok) return setRefusal(done.error)
    setRefusal(null)
    setName('')
    onMade(done.value)
  }
  return (
    <Dialog
      title="Invite"
      isOpen={isOpen}
      onOpenChange={onOpenChange}
      acts={(close) => (
        <>
          <Button onPress={close}>Not now</Button>
          <Button look="do" isDisabled={busy} onPress={() => void make()}>
            Make the code
          </Button>
        </>
      )}
    >
      <div className="flex items-end gap-2">
        <div className="flex-1">
          <ChoiceField
            label="Role"
            value={role}
            options={ROLES.map((r) => ({ id: r, label: r }))}
            onChange={(id) => {
              if (isRole(id)) setRole(id)
            }}
          />
        </div>
        <HelpNote about="What each role can do">
          Managers change everything and decide who joins. Mechanics fit, read back, sign, charge and assign.
          Drivers check and accept their own cars and assign values to them. Guests only watch. The server
          enforces this.
        </HelpNote>
      </div>
      <FormField
        label="For whom (optional)"
        hint="A suggested name. They can change it."
        value={name}
        onChange={setName}
        maxLength={40}
        refusal={refusal?.field === 'Name' ? refusal : null}
      />
      <NumberEntry
        label="Valid for"
        unit="h"
        min={1}
        max={MAX_HOURS}
        step={1}
        value={hours}
        onChange={setHours}
        stepper
      />
      <Tick
        isSelected={singleUse}
        onChange={setSingleUse}
        detail="Otherwise anyone who sees the code can join while it is valid."
      >
        For one phone only
      </Tick>
      {refusal && refusal.field !== 'Name' && (
        <p className="refusal" role="alert">
          <RefusalText refusal={refusal} />
        </p>
      )}
    </Dialog>
  )
}
