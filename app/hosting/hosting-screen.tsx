'use client'
import { useState, type FormEvent } from 'react'
import type { Refusal } from '@/lib/core/result'
import type { MakeTeamResponse } from '@/lib/join/hosting-api'
import { Button } from '@/app/ui/button'
import { callApi } from '@/app/ui/call-api'
import { FormField } from '@/app/ui/form-field'
import { RefusalText } from '@/app/ui/panels'
import { Ticket, TicketBody, TicketHead } from '@/app/ui/ticket'
import { Wait } from '@/app/ui/wait'
import { MadeTeam } from './made-team'

const EMPTY = { code: '', name: '', address: '' }
/** Which field a refusal is about. */
const FIELDS = { 'Operator’s code': 'code', Name: 'name', Address: 'address' } as const

/** An operator's code, a name and an address become a team. `base`: what its address ends in. */
export function HostingScreen({ base }: { base: string }) {
  const [typed, setTyped] = useState(EMPTY)
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const [waitUntil, setWaitUntil] = useState<number | null>(null)
  const [isBusy, setBusy] = useState(false)
  const [made, setMade] = useState<MakeTeamResponse | null>(null)

  const make = async (e: FormEvent) => {
    e.preventDefault()
    if (isBusy) return
    setBusy(true)
    setRefusal(null)
    const answer = await callApi<MakeTeamResponse>('/api/hosting/teams', typed)
    setBusy(false)
    if (answer.ok) return setMade(answer.value)
    setRefusal(answer.error)
    setWaitUntil(answer.retryAfterS ? Date.now() + answer.retryAfterS * 1000 : null)
  }
  const about = refusal && (FIELDS as Record<string, keyof typeof EMPTY>)[refusal.field]
  const field = (key: keyof typeof EMPTY) => ({
    value: typed[key],
    onChange: (text: string) => {
      setTyped({ ...typed, [key]: text })
      if (about === key) setRefusal(null)
    },
    refusal: about === key ? refusal : null,
    isDisabled: isBusy,
  })
  const isReady = Object.values(typed).every((text) => text.trim() !== '') && waitUntil === null

  return (
    <div className="page page-narrow">
      <Ticket tone="calm">
        {made ? (
          <MadeTeam made={made} />
        ) : (
          <>
            <TicketHead level={1} title="Make a team" sub="With a code from whoever runs this server" />
            <TicketBody>
              <form className="grid gap-4" onSubmit={(e) => void make(e)}>
                <FormField
                  label="Operator’s code"
                  hint="Sixteen letters and digits. It makes one team."
                  placeholder="XXXX-XXXX-XXXX-XXXX"
                  autoFocus
                  {...field('code')}
                />
                <FormField
                  label="Team name"
                  hint="What the team is called."
                  maxLength={80}
                  {...field('name')}
                />
                <FormField
                  label="Address"
                  hint={
                    <>
                      Letters, digits and hyphens. The board is then at{' '}
                      <span className="break-all">
                        {typed.address.trim().toLowerCase() || 'address'}.{base}
                      </span>
                    </>
                  }
                  maxLength={30}
                  {...field('address')}
                />
                {refusal && !about && (
                  <p className="refusal" role="alert">
                    <RefusalText refusal={refusal} />
                  </p>
                )}
                <Wait until={waitUntil} onOver={() => setWaitUntil(null)} />
                <Button type="submit" look="do" wide isDisabled={!isReady || isBusy}>
                  {isBusy ? 'Making the team' : 'Make the team'}
                </Button>
              </form>
              <p className="small">
                Has your team a board already? Open it at its own address: this page shows none.
              </p>
            </TicketBody>
          </>
        )}
      </Ticket>
    </div>
  )
}
