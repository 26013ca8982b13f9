import { allowRinging } from './allow-ringing'
import { setCalls } from './calls-setting'
import { setBadge } from './set-badge'

/** From a tap. */
export const turnOn = () => {
  setCalls('on')
  void allowRinging()
}

export const turnOff = () => {
  setCalls('off')
  setBadge(0)
}
