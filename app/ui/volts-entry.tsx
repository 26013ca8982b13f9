'use client'
import { NumberEntry, type NumberEntryProps } from './number-entry'

/** A whole pack's voltage, as a meter shows it: up to 30 V in steps of 0.01 V. */
export function VoltsEntry(props: Omit<NumberEntryProps, 'min' | 'max' | 'step' | 'unit'>) {
  return <NumberEntry {...props} min={0} max={30} step={0.01} unit="V" />
}
