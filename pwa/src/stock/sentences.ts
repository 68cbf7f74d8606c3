/** A record as one sentence, for histories, flags and what waits to be sent. Pure. */
import type { BodyOf, Kind, WireRecord } from '../records/kinds.ts'
import { isKnown } from '../records/kinds.ts'
import { t } from '../words/index.ts'
import { itemName, type Find, type GrowthForm } from './view.ts'
import { display } from '../label/code.ts'

/** 'mouth open, half covered, bleached'; of a branching one 'cut face half closed'. Empty where nothing was noted. */
export function answersText(body: BodyOf<'check'>, form?: GrowthForm): string {
  const words: string[] = []
  if (body.mouth !== undefined) words.push(t(`check.answer.mouth.${body.mouth}`))
  const covered = form === 'branching' ? 'face' : 'encrustation'
  if (body.encrustation !== undefined) words.push(t(`check.answer.${covered}.e${body.encrustation}`))
  if (body.recession !== undefined) words.push(t(`check.answer.recession.${body.recession}`))
  if (body.expansion !== undefined) words.push(t(`check.answer.expansion.${body.expansion}`))
  for (const sign of body.signs ?? []) words.push(t(`check.signs.${sign}`).toLowerCase())
  return words.join(', ')
}

function checkText(body: BodyOf<'check'>): string {
  if (body.swept) return t('piece.sentence.swept')
  return t('piece.sentence.check', { answers: answersText(body) || t('piece.sentence.nothing') })
}

function lossText(body: BodyOf<'loss'>, find: Find): string {
  const parts = [
    body.sign === undefined ? null : t(`check.lost.signs.${body.sign}`).toLowerCase(),
    body.cause === undefined ? null : itemName(body.cause, find).toLowerCase(),
  ].filter((part) => part !== null)
  const detail = parts.map((part) => `, ${part}`).join('')
  return t(body.how === 'dead' ? 'piece.sentence.lossDead' : 'piece.sentence.lossMissing', { detail })
}

function placeText(body: { tray?: string; place?: string; tank?: string }, find: Find): string {
  const named = [body.tray, body.tank].filter((id) => id !== undefined).map((id) => itemName(id, find))
  return [...named, body.place].filter((part) => part !== undefined).join(', ')
}

function arrivalText(body: BodyOf<'arrival'>, find: Find): string {
  const origin = t(`piece.origin.${body.origin}`).toLowerCase()
  return t('piece.sentence.arrival', { species: itemName(body.species, find), line: body.line, origin })
}

function careText({ what, name, amount, unit }: BodyOf<'care'>): string {
  if (what !== 'dip' || name === undefined) return t('piece.sentence.care', { what: name ?? what })
  return t('piece.sentence.dip', { what: name, dose: amount === undefined ? '' : `, ${amount} ${unit ?? ''}`.trimEnd() })
}

const TELL: { readonly [K in Kind]: (body: BodyOf<K>, find: Find) => string } = {
  arrival: arrivalText,
  cut: (body, find) => t('piece.sentence.cut', { method: itemName(body.method, find) }),
  glue: (body, find) =>
    t('piece.sentence.glue', {
      base: itemName(body.base, find),
      purpose: t(`piece.purpose.${body.purpose}`).toLowerCase(),
    }),
  cut_end: (body) => t('piece.sentence.cut_end', { remains: t(`piece.sentence.remains.${body.remains}`) }),
  bind: (body) => t('piece.sentence.bind', { code: display(body.code) }),
  check: checkText,
  ready: (body) => t(body.for === 'sale' ? 'piece.sentence.readySale' : 'piece.sentence.readyCut'),
  loss: lossText,
  exit: (body) =>
    t('piece.sentence.exit', {
      how: t(`piece.exit.${body.how}`).toLowerCase(),
      detail: body.to === undefined ? '' : `, ${body.to}`,
    }),
  move: (body, find) => t('piece.sentence.move', { where: placeText(body, find) }),
  purpose: (body) => t('piece.sentence.purpose', { purpose: t(`piece.purpose.${body.purpose}`).toLowerCase() }),
  note: ({ text, about }) => t(about === 'colour' ? 'piece.sentence.noteColour' : 'piece.sentence.note', { text }),
  photo: () => t('piece.sentence.photo'),
  care: careText,
  define: (body) => t('piece.sentence.define', { name: String(body.fields['name'] ?? body.list) }),
  retract: (body) => t('piece.sentence.retract', { why: body.why }),
  water: () => t('piece.sentence.water'),
}

/** What a record says. A kind of a newer version is named as such, never guessed at. */
export function recordText(record: WireRecord, find: Find): string {
  if (!isKnown(record)) return t('piece.sentence.unknown')
  const tell = TELL[record.kind] as (body: unknown, find: Find) => string
  return tell(record.body, find)
}
