'use client'
import { useEffect, useState } from 'react'

/** Too many wrong codes: how many seconds are left, counted down on the device's own clock. `until` in ms; null shows nothing. */
export function Wait({ until, onOver }: { until: number | null; onOver: () => void }) {
  const [left, setLeft] = useState(0)
  useEffect(() => {
    if (until === null) return
    const count = () => {
      const s = Math.ceil((until - Date.now()) / 1000)
      setLeft(Math.max(0, s))
      if (s <= 0) onOver()
    }
    count()
    const timer = setInterval(count, 250)
    return () => clearInterval(timer)
  }, [until, onOver])
  if (until === null) return null
  return (
    <p className="note note-hot" role="timer">
      Too many wrong codes. Wait <b className="num">{left} s</b>, then try again. This stops strangers from
      guessing.
    </p>
  )
}
