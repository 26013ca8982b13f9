'use client'
import { useRouter } from 'next/navigation'
import { useCallback, useEffect, useState } from 'react'
import type { Refusal } from '@/lib/core/result'
import type { PreviewResponse, SessionResponse } from '@/lib/join/join-api'
import { readJoinCode } from '@/lib/join/join-code'
import { askSession } from '@/app/sync/ask-session'
import { askToKeep } from '@/app/sync/keep-storage'
import type { SessionAnswer } from '@/app/sync/sync-snapshot'
import { Button } from '@/app/ui/button'
import { callApi } from '@/app/ui/call-api'
import { FormField } from '@/app/ui/form-field'
import { Loading } from '@/app/ui/panels'
import { Ticket, TicketBody, TicketHead } from '@/app/ui/ticket'
import { WhoStep } from './who-step'
import { Wait } from '@/app/ui/wait'

type Step =
  | { at: 'code' }
  | { at: 'looking' }
  | { at: 'who'; code: string; offer: PreviewResponse }
  | { at: 'joining'; code: string; offer: PreviewResponse }

/** From a code, scanned or typed, to a place in the crew. */
export function JoinScreen() {
  const router = useRouter()
  const [answer, setAnswer] = useState<SessionAnswer | null>(null)
  const [step, setStep] = useState<Step>({ at: 'code' })
  const [typed, setTyped] = useState('')
  const [refusal, setRefusal] = useState<Refusal | null>(null)
  const [waitUntil, setWaitUntil] = useState<number | null>(null)

  const member = answer?.reached ? answer.session : null

  // Does this phone belong to somebody already? The board itself is not loaded for that.
  useEffect(() => {
    let gone = false
    void askSession().then((said) => !gone && setAnswer(said))
    return () => {
      gone = true
    }
  }, [])

  const fail = useCallback((error: Refusal, retryAfterS?: number) => {
    setRefusal(error)
    setWaitUntil(retryAfterS ? Date.now() + retryAfterS * 1000 : null)
  }, [])

  const look = useCallback(
    async (text: string) => {
      const code = readJoinCode(text)
      if (!code.ok) return fail(code.error)
      setStep({ at: 'looking' })
      const seen = await callApi<PreviewResponse>('/api/join/preview', { code: code.value })
      if (!seen.ok) {
        setStep({ at: 'code' })
        return fail(seen.error, seen.retryAfterS)
      }
      setRefusal(null)
      setStep({ at: 'who', code: code.value, offer: seen.value })
    },
    [fail],
  )

  // A code may come with the page or, scanned again, to the open page.
  useEffect(() => {
    const scan = () => {
      const scanned = location.hash.slice(1)
      if (!scanned) return
      // The code must not stay in the history of a phone that goes from hand to hand.
      history.replaceState(null, '', location.pathname)
      setTyped(scanned)
      void look(scanned)
    }
    scan()
    window.addEventListener('hashchange', scan)
    return () => window.removeEventListener('hashchange', scan)
  }, [look])

  const join = async (who: { name?: string; personId?: string }) => {
    if (step.at !== 'who') return
    const { code, offer } = step
    setStep({ at: 'joining', code, offer })
    const joined = await callApi<SessionResponse>('/api/join', { code, ...who })
    if (!joined.ok) {
      // A code that is spent meanwhile leads back to the code; a name that is taken can be mended here.
      setStep(
        /^(Invitation|Join code)/.test(joined.error.field) ? { at: 'code' } : { at: 'who', code, offer },
      )
      return fail(joined.error, joined.retryAfterS)
    }
    void askToKeep()
    router.replace('/start')
  }

  return (
    <div className="page page-narrow">
      <Ticket tone="calm">
        <TicketHead
          level={1}
          title="Join the board"
          sub={
            member
              ? `This phone has joined as ${member.name}, ${member.role}`
              : 'With the code from a manager'
          }
        />
        {step.at === 'looking' ? (
          <Loading what="Checking the code" />
        ) : step.at === 'code' ? (
          <TicketBody>
            <form
              className="grid gap-3"
              onSubmit={(e) => {
                e.preventDefault()
                void look(typed)
              }}
            >
              <FormField
                label="Join code"
                hint="Sixteen letters and digits. Capitals, spaces and dashes don’t matter."
                value={typed}
                onChange={(text) => {
                  setTyped(text)
                  setRefusal(null)
                }}
                refusal={refusal}
                autoFocus
                placeholder="XXXX-XXXX-XXXX-XXXX"
              />
              <Wait until={waitUntil} onOver={() => setWaitUntil(null)} />
              <Button type="submit" look="do" wide isDisabled={waitUntil !== null || typed.trim() === ''}>
                Continue
              </Button>
            </form>
            <p className="small">
              No code? A manager makes one on the crew page. Scan it with this phone’s camera and the link
              opens here.
            </p>
            {member && (
              <div className="btn-row">
                <Button onPress={() => router.replace('/')}>Stay as I am</Button>
              </div>
            )}
          </TicketBody>
        ) : (
          <WhoStep
            offer={step.offer}
            refusal={refusal}
            busy={step.at === 'joining' || waitUntil !== null}
            onJoin={(who) => void join(who)}
            onBack={() => {
              setRefusal(null)
              setStep({ at: 'code' })
            }}
          >
            <Wait until={waitUntil} onOver={() => setWaitUntil(null)} />
          </WhoStep>
        )}
      </Ticket>
    </div>
  )
}
