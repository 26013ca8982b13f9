'use client'
import { useSyncExternalStore } from 'react'
import { parseSpeedUnit, SPEED_UNITS, type SpeedUnit } from '@/lib/core/speed-unit'
import { ChoiceField } from './choice-field'
import { deviceSetting } from './device-setting'

const setting = deviceSetting<SpeedUnit>('stagecall_speeds', parseSpeedUnit)

export const speedUnit = setting.read
export const watchSpeedUnit = setting.watch

/** In which unit this device shows speeds. */
export const useSpeedUnit = (): SpeedUnit =>
  useSyncExternalStore(watchSpeedUnit, speedUnit, () => 'm/s' as const)

export function SpeedSwitch() {
  return (
    <ChoiceField
      label="Speeds on this phone"
      value={useSpeedUnit()}
      options={SPEED_UNITS.map((u) => ({ id: u, label: u }))}
      onChange={(id) => setting.choose(parseSpeedUnit(id))}
    />
  )
}
