import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { sectionOf } from '../../kit-sections'
import { RecordScreen } from '../../record-screen'

type Params = Promise<{ section: string; recordId: string }>

export async function generateMetadata({ params }: { params: Params }): Promise<Metadata> {
  return { title: sectionOf((await params).section)?.label ?? 'Kit' }
}

export default async function RecordPage({ params }: { params: Params }) {
  const { section, recordId } = await params
  if (!sectionOf(section)) notFound()
  return <RecordScreen slug={section} recordId={recordId} />
}
