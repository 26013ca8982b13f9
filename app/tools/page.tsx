import type { Metadata } from 'next'
import { ToolsScreen } from './tools-screen'

export const metadata: Metadata = { title: 'Tools' }

export default function ToolsPage() {
  return <ToolsScreen />
}
