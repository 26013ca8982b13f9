'use client'
import { useSyncExternalStore } from 'react'
import { deviceSetting } from '@/app/ui/device-setting'

/** Whether this phone rings: each phone for itself, asked once. `null`: nobody has said. */
export type CallsSetting = 'on' | 'off' | null

const setting = deviceSetting<CallsSetting>('stagecall_calls', (kept) =>
  kept === 'on' || kept === 'off' ? kept : null,
)

export const setCalls = (to: 'on' | 'off'): void => setting.choose(to)

export const useCallsSetting = (): CallsSetting =>
  useSyncExternalStore(setting.watch, setting.read, () => 'off')
