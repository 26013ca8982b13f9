'use client'
import { useSyncExternalStore } from 'react'
import { parseSpeedUnit, SPEED_UNITS, type SpeedUnit } from '@/lib/core/speed-unit'
import { ChoiceField } from './choice-field'

/** Chosen once per device. */
const KEY = 'stagecall_speeds'
const listeners = new Set<() => void>()
let chosen: SpeedUnit | null = null

export function speedUnit(): SpeedUnit {
  if (chosen === null)
    try {
      chosen = parseSpeedUnit(localStorage.getItem(KEY))
    } catch {
      // Storage is forbidden: the choice lasts as long as the page.
      chosen = 'm/s'
    }
  return chosen
}

function setSpeedUnit(unit: SpeedUnit): void {
  chosen = unit
  try {
    localStorage.setItem(KEY, unit)
  } catch {
    // As above.
  }
  for (const changed of listeners) changed()
}

export function watchSpeedUnit(changed: () => void): () => void {
  listeners.add(changed)
  return () => void listeners.delete(changed)
}

/** In which unit this device shows speeds. */
export const useSpeedUnit = (): SpeedUnit =>
  useSyncExternalStore(watchSpeedUnit, speedUnit, () => 'm/s' as const)

export function SpeedSwitch() {
  return (
    <ChoiceField
      label="Speeds on this phone"
      value={useSpeedUnit()}
      options={SPEED_UNITS.map((u) => ({ id: u, label: u }))}
      onChange={(id) => setSpeedUnit(parseSpeedUnit(id))}
    />
  )
}
