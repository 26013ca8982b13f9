import type { Metadata } from 'next'
import { ImportListScreen } from './import-list-screen'

export const metadata: Metadata = { title: 'Paste results or laps' }

export default function ImportListPage() {
  return <ImportListScreen />
}
