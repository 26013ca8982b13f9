'use client'
import { useEffect } from 'react'
import { lockPlaces } from '@/app/ui/place-lock'

/** After an act its place is locked for a moment, on every screen. */
export function PlaceLocks() {
  useEffect(() => lockPlaces(), [])
  return null
}
