import type { Metadata } from 'next'
import { DaySheet } from './day-sheet'

export const metadata: Metadata = { title: 'Day sheet' }

export default function DaySheetPage() {
  return <DaySheet />
}
