'use client'
import { usePathname, useSearchParams } from 'next/navigation'
import { useCallback, useEffect, useMemo, useRef, useSyncExternalStore } from 'react'
import { useSession, useSyncPart } from '@/app/sync'
import { addressOf, questionIn } from './season-address'
import { seasonDesk, type SeasonDesk, type SeasonState } from './season-desk'
import type { ChangeQuestion, SeasonQuestion } from './season-messages'

/** ms until what is typed stands in the address: browsers take only so many changes of it. */
const ADDRESS_AFTER = 400

/**
 * The question as the page has it, the way to another one, and what the season's thread says. The address is changed past the router, which would ask the server for
 * the page anew, and there may be none.
 */
export function useSeason(): {
  question: SeasonQuestion
  set: ChangeQuestion
  desk: SeasonDesk
  state: SeasonState
} {
  const { deviceId, personId } = useSession()
  const desk = seasonDesk(`${deviceId} ${personId}`)
  const state = useSyncExternalStore(desk.subscribe, desk.state, desk.state)
  const isOnline = useSyncPart((s) => s.online)
  const generation = useSyncPart((s) => s.generation)
  const text = useSearchParams().toString()
  const inAddress = useMemo(() => questionIn(new URLSearchParams(text)), [text])
  const question = state.chosen?.over === text ? state.chosen.question : inAddress
  const set = useSetQuestion(desk)
  // What was chosen over another address, or on an earlier visit, says nothing here.
  useEffect(() => desk.unchoose, [desk, text])
  useEffect(() => desk.setGeneration(generation), [desk, generation])
  useEffect(() => desk.setOnline(isOnline), [desk, isOnline])
  useEffect(() => desk.ask(question), [desk, question])
  return { question, set, desk, state }
}

function useSetQuestion(desk: SeasonDesk): ChangeQuestion {
  const path = usePathname()
  const timer = useRef<ReturnType<typeof setTimeout>>(undefined)
  useEffect(() => () => clearTimeout(timer.current), [])
  return useCallback<ChangeQuestion>(
    (change) => {
      // The page's own address, which is ahead of what was rendered: so what this hands out stays one function, and no row is drawn anew for it.
      const shown = new URLSearchParams(window.location.search)
      const over = shown.toString()
      const { chosen } = desk
      const question = change(chosen?.over === over ? chosen.question : questionIn(shown))
      desk.choose({ question, over })
      clearTimeout(timer.current)
      timer.current = setTimeout(
        () => window.history.replaceState(null, '', path + addressOf(question)),
        ADDRESS_AFTER,
      )
    },
    [desk, path],
  )
}
