'use client'
import { useCallback, useEffect, useState } from 'react'
import type { CrewMember, CrewResponse, InvitationInfo, InvitationsResponse } from '@/lib/join/join-api'
import type { Refusal } from '@/lib/core/result'
import { useSyncSnapshot } from '@/app/sync'
import { callApi } from '@/app/ui/call-api'

export interface Crew {
  /** Null until the server answered for the first time. */
  people: readonly CrewMember[] | null
  invitations: readonly InvitationInfo[]
  trouble: Refusal | null
  refresh: () => Promise<void>
}

/** ms; last seen and devices move slowly. */
const EVERY = 15_000

/** People and devices as the server knows them, fetched anew now and then and whenever somebody comes or goes. */
export function useCrew(isManager: boolean): Crew {
  const [people, setPeople] = useState<readonly CrewMember[] | null>(null)
  const [invitations, setInvitations] = useState<readonly InvitationInfo[]>([])
  const [trouble, setTrouble] = useState<Refusal | null>(null)
  const { online } = useSyncSnapshot()

  const refresh = useCallback(async () => {
    const [crew, open] = await Promise.all([
      callApi<CrewResponse>('/api/crew/people'),
      isManager ? callApi<InvitationsResponse>('/api/crew/invitations') : null,
    ])
    setTrouble(crew.ok ? null : crew.error)
    if (crew.ok) setPeople(crew.value.people)
    if (open?.ok) setInvitations(open.value.invitations)
  }, [isManager])

  useEffect(() => {
    void refresh()
    const timer = setInterval(() => {
      if (document.visibilityState === 'visible') void refresh()
    }, EVERY)
    return () => clearInterval(timer)
  }, [refresh, online])
  return { people, invitations, trouble, refresh }
}
