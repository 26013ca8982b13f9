'use client'
import { useSyncExternalStore } from 'react'
import { Button } from '@/app/ui/button'
import { useCallsSetting } from './calls-setting'
import { canSound, watchSound } from './sound'
import { turnOff, turnOn } from './turn-calls'

/** Whether this phone rings, to be changed at any time. */
export function CallsSwitch() {
  const setting = useCallsSetting()
  const isHeard = useSyncExternalStore(watchSound, canSound, () => false)
  return (
    <div role="group" aria-label="Calls on this phone" className="field">
      <span className="field-label">Calls on this phone</span>
      <span className="field-hint">
        Sound and vibration 10, 5 and 2 min before your calls, while this page is open.
      </span>
      {setting === 'on' && !isHeard && <b className="field-hint">Tap to turn sound on</b>}
      <div className="btn-row">
        <Button look={setting === 'on' ? 'do' : 'plain'} aria-pressed={setting === 'on'} onPress={turnOn}>
          On
        </Button>
        <Button look={setting === 'on' ? 'plain' : 'do'} aria-pressed={setting !== 'on'} onPress={turnOff}>
          Off
        </Button>
      </div>
    </div>
  )
}
