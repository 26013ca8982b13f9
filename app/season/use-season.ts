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
import type { ChangeQuestion, SeasonQuestion } from './season-messages'

/** ms until what is typed stands in the address: browsers take only so many changes of it. */
const ADDRESS_AFTER = 400

/**
 * The question as the address has it, and the way to another one. The address is changed past the router, which would ask the server for the page anew, and there may be
 * none.
 */
export function useSeasonQuestion(): [SeasonQuestion, ChangeQuestion] {
  const params = useSearchParams()
  const path = usePathname()
  const desk = useSeasonDesk()
  const text = params.toString()
  const [typed, setTyped] = useState<TypedQuestion | null>(null)
  const question = useMemo(
    () => (typed?.over === text ? typed.question : questionIn(new URLSearchParams(text))),
    [typed, text],
  )
  const last = useRef<TypedQuestion | null>(null)
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined)
  useEffect(() => () => clearTimeout(timer.current), [])
  const set = useCallback<ChangeQuestion>(
    (change) => {
      // The page's own address, which is ahead of what was rendered: so what this hands out stays one function, and no row is drawn anew for it.
      const shown = new URLSearchParams(window.location.search)
      const over = shown.toString()
      const next = change(last.current?.over === over ? last.current.question : questionIn(shown))
      last.current = { over, question: next }
      // Asked before anything is drawn: the answer is on its way meanwhile.
      desk.ask(next)
      // What is typed stands in its field at once; lists and tables follow.
      startTransition(() => setTyped({ over, question: next }))
      clearTimeout(timer.current)
      timer.current = setTimeout(
        () => window.history.replaceState(null, '', path + addressOf(next)),
        ADDRESS_AFTER,
      )
    },
    [desk, path],
  )
  return [question, set]
}

/** A question that stands in the page and not yet in its address, and what the address says meanwhile. */
interface TypedQuestion {
  over: string
  question: SeasonQuestion
}

function useSeasonDesk(): SeasonDesk {
  const { deviceId, personId } = useSession()
  return seasonDesk(`${deviceId} ${personId}`)
}

/** What the season's thread says to a question. */
export function useSeason(question: SeasonQuestion): { desk: SeasonDesk; state: SeasonState } {
  const desk = useSeasonDesk()
  const state = useSyncExternalStore(desk.subscribe, desk.state, desk.state)
  const isOnline = useSyncPart((s) => s.online)
  const generation = useSyncPart((s) => s.generation)
  useEffect(() => desk.setGeneration(generation), [desk, generation])
  useEffect(() => desk.setOnline(isOnline), [desk, isOnline])
  useEffect(() => desk.ask(question), [desk, question])
  return { desk, state }
}
