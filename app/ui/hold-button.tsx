'use client'
import {
  useCallback,
  useEffect,
  useRef,
  useState,
  type KeyboardEvent,
  type PointerEvent,
  type ReactNode,
} from 'react'

export interface HoldButtonProps {
  children: ReactNode
  /** Called once the button was held long enough. */
  onHeld: () => void
  isDisabled?: boolean
  /** `do` is filled in: the one act a place is for. */
  look?: 'do' | 'plain'
  /** ms */
  holdFor?: number
  /** What holding does, for screen readers: `accept Rook 4WD for heat 9`. */
  says: string
}

/**
 * Press and hold, so that a wet thumb doesn't accept a car by brushing it. Space and Enter are held the same way. Switches and screen readers
 * that can't hold send a click without a press before it; such a click asks once more instead.
 */
export function HoldButton({
  children,
  onHeld,
  isDisabled = false,
  look = 'do',
  holdFor = 1200,
  says,
}: HoldButtonProps) {
  const [holding, setHolding] = useState(false)
  const [asking, setAsking] = useState(false)
  const button = useRef<HTMLButtonElement>(null)
  const started = useRef<number | null>(null)
  const pressed = useRef(false)
  const held = useRef(onHeld)
  useEffect(() => {
    held.current = onHeld
  }, [onHeld])

  const stop = useCallback(() => {
    started.current = null
    setHolding(false)
    button.current?.style.setProperty('--held', '0')
  }, [])

  useEffect(() => {
    if (!holding) return
    let frame = 0
    const step = () => {
      if (started.current === null) return
      const share = Math.min(1, (performance.now() - started.current) / holdFor)
      button.current?.style.setProperty('--held', String(share))
      if (share >= 1) {
        stop()
        setAsking(false)
        held.current()
      } else frame = requestAnimationFrame(step)
    }
    frame = requestAnimationFrame(step)
    return () => cancelAnimationFrame(frame)
  }, [holding, holdFor, stop])

  const start = () => {
    if (isDisabled || started.current !== null) return
    pressed.current = true
    started.current = performance.now()
    setHolding(true)
  }
  const onKeyDown = (e: KeyboardEvent) => {
    if (e.key !== ' ' && e.key !== 'Enter') return
    e.preventDefault()
    if (!e.repeat) start()
  }
  const onPointerDown = (e: PointerEvent<HTMLButtonElement>) => {
    if (e.button !== 0) return
    e.currentTarget.setPointerCapture(e.pointerId)
    start()
  }
  const onClick = () => {
    if (pressed.current) {
      pressed.current = false
      return
    }
    if (isDisabled) return
    if (asking) {
      setAsking(false)
      onHeld()
    } else setAsking(true)
  }

  return (
    <button
      ref={button}
      type="button"
      className={look === 'do' ? 'btn btn-do hold' : 'btn hold'}
      aria-disabled={isDisabled || undefined}
      aria-label={asking ? `Press again to ${says}` : `Press and hold to ${says}`}
      data-holding={holding ? '' : undefined}
      onPointerDown={onPointerDown}
      onPointerUp={stop}
      onPointerCancel={stop}
      onKeyDown={onKeyDown}
      onKeyUp={stop}
      onBlur={() => {
        stop()
        setAsking(false)
      }}
      onClick={onClick}
      onContextMenu={(e) => e.preventDefault()}
    >
      <span className="hold-fill" aria-hidden="true" />
      <span className="hold-text">{asking ? 'Press again' : children}</span>
    </button>
  )
}
