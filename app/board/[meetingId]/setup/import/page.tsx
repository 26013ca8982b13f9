import type { Metadata } from 'next'
import { ImportScreen } from './import-screen'

export const metadata: Metadata = { title: 'Import a running order' }

export default function ImportPage() {
  return <ImportScreen />
}
