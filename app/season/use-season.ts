'use client'
import { usePathname, useSearchParams } from 'next/navigation'
import {
  startTransition,
  useCallback,
  useEffect,
  useMemo,
  useRef,
  useState,
  useSyncExternalStore,
} from 'react'
import { useSession, useSyncPart } from '@/app/sync'
import { addressOf, questionIn } from './season-address'
import { seasonDesk, type SeasonDesk, type SeasonState } from './season-desk'
import type { SeasonQuestion } from './season-messages'

/** ms until what is typed stands in the address: browsers take only so many changes of it. */
const ADDRESS_AFTER = 400

/**
 * The question as the address has it, and the way to another one. The address is changed past the router, which would ask the server for the page anew, and there may be
 * none.
 */
export function useSeasonQuestion(): [SeasonQuestion, (next: SeasonQuestion) => void] {
  const params = useSearchParams()
  const path = usePathname()
  const text = params.toString()
  const [typed, setTyped] = useState<{ over: string; question: SeasonQuestion } | null>(null)
  const question = useMemo(
    () => (typed?.over === text ? typed.question : questionIn(new URLSearchParams(text))),
    [typed, text],
  )
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined)
  useEffect(() => () => clearTimeout(timer.current), [])
  const set = useCallback(
    (next: SeasonQuestion) => {
      // What is typed stands in its field at once; lists and tables follow.
      startTransition(() => setTyped({ over: text, question: next }))
      clearTimeout(timer.current)
      timer.current = setTimeout(
        () => window.history.replaceState(null, '', path + addressOf(next)),
        ADDRESS_AFTER,
      )
    },
    [path, text],
  )
  return [question, set]
}

/** What the season's thread says to a question. */
export function useSeason(question: SeasonQuestion): { desk: SeasonDesk; state: SeasonState } {
  const { deviceId, personId } = useSession()
  const desk = seasonDesk(`${deviceId} ${personId}`)
  const state = useSyncExternalStore(desk.subscribe, desk.state, desk.state)
  const isOnline = useSyncPart((s) => s.online)
  const generation = useSyncPart((s) => s.generation)
  useEffect(() => desk.setGeneration(generation), [desk, generation])
  useEffect(() => desk.setOnline(isOnline), [desk, isOnline])
  useEffect(() => desk.ask(question), [desk, question])
  return { desk, state }
}
