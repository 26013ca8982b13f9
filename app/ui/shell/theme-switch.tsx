'use client'
import { useEffect, useState } from 'react'
import { ChoiceField } from '@/app/ui/choice-field'
import { NIGHT_COOKIE, NIGHT_WORDS, NIGHTS, parseNight, type Night } from './theme'

const YEAR_S = 365 * 86_400

export function setNight(night: Night): void {
  document.documentElement.dataset['night'] = night
  document.cookie = `${NIGHT_COOKIE}=${night}; path=/; max-age=${YEAR_S}; samesite=lax`
}

/** Day paper, night paper, or whatever the device has. */
export function ThemeSwitch() {
  const [night, set] = useState<Night>('auto')
  useEffect(() => set(parseNight(document.documentElement.dataset['night'])), [])
  return (
    <ChoiceField
      label="Screen"
      value={night}
      options={NIGHTS.map((n) => ({ id: n, label: NIGHT_WORDS[n] }))}
      onChange={(id) => {
        const next = parseNight(id)
        set(next)
        setNight(next)
      }}
    />
  )
}
