'use client'
import { useEffect } from 'react'
import { useCallsSetting } from './calls-setting'
import { setBadge } from './set-badge'
import { keepSounding } from './sound'

/** On every page: a phone that is set to ring may sound from the first touch on. Whoever is no member has no jobs on the icon. */
export function useCallsHere(member: boolean | null): void {
  const on = useCallsSetting() === 'on' && member !== false
  useEffect(() => (on ? keepSounding() : undefined), [on])
  useEffect(() => {
    if (member === false) setBadge(0)
  }, [member])
}
