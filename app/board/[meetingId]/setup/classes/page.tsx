import type { Metadata } from 'next'
import { ClassesScreen } from './classes-screen'

export const metadata: Metadata = { title: 'Classes' }

export default function ClassesPage() {
  return <ClassesScreen />
}
