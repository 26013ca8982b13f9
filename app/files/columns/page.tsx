import type { Metadata } from 'next'
import { ColumnsScreen } from './columns-screen'

export const metadata: Metadata = { title: 'Columns of the lists' }

export default function ColumnsPage() {
  return <ColumnsScreen />
}
