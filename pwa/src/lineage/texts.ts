/** Families in words. Pure. */
import { display } from '../label/code.ts'
import { numberText } from '../stock/lineage.ts'
import { calledName, dayText, itemName, numberWords, whereText, type Find } from '../stock/view.ts'
import type { PieceView } from '../sync/views.ts'
import { number, t } from '../words/index.ts'
import { add, FATES, fateOf, none, type Tally } from './tally.ts'
import type { Branch, Member } from './tree.ts'

/** '12 healing, 3 lost'; what there is none of is left out. */
export function fatesText(tally: Tally): string {
  const told = FATES.filter((fate) => tally[fate] > 0).map((fate) => t(`lineage.fates.${fate}`, { count: tally[fate] }))
  return told.join(', ')
}

export function piecesText(count: number): string {
  return t('lineage.family.pieces', { count })
}

export function cutsText(count: number): string {
  return t('lineage.family.cuts', { count })
}

/** By its label, else by line and cut number, else that it is not known here. */
export function nameOfMember({ piece }: Pick<Member<PieceView>, 'piece'>): string {
  return piece === null ? t('lineage.tree.unknownMother') : calledName(piece)
}

/** Two without labels would be called the same: the day of gluing tells them apart. */
export function nameAndDay(member: Pick<Member<PieceView>, 'piece'>): string {
  const begun = member.piece?.state.begun
  if (!begun || member.piece?.code !== null) return nameOfMember(member)
  return t('lineage.odd.glued', { name: nameOfMember(member), day: dayText(begun.day) })
}

/** What stands below a member's code: 'cut number 2, lost, A1, B7'. */
export function aboutMember({ piece }: Member<PieceView>, find: Find): string {
  if (piece === null) return ''
  const fate = fateOf(piece.state)
  const colony = piece.state.stage === 'colony'
  const told = colony ? t('lineage.tree.colony') : t(`lineage.fate.${fate}`)
  const place = fate === 'lost' || fate === 'gone' ? null : whereText(piece, find)
  return [numberWords(piece.number), told.toLowerCase(), place].filter((part) => part !== null).join(', ')
}

/** What lies below a mother: '3 cuts, 24 pieces in all'. */
export function belowText({ cuts, below }: Member): string {
  const told = { cuts: cutsText(cuts.length) }
  return below.pieces === 0 ? t('lineage.tree.motherNone', told) : t('lineage.tree.mother', { ...told, pieces: piecesText(below.pieces) })
}

/** What was cut from mothers that are put away together. */
export function againText(mothers: readonly Member[]): string {
  const below = mothers.reduce((sum, mother) => add(sum, mother.below), none())
  if (below.pieces === 0) return ''
  return t('lineage.tree.fromThem', { pieces: piecesText(below.pieces), fates: fatesText(below) })
}

export function cutTitle({ day, method }: Branch, find: Find): string {
  if (day === null) return t('lineage.tree.cutNoDay')
  return t('lineage.tree.cut', { day: dayText(day), method: method === null ? '' : itemName(method, find) })
}

export function cutAbout({ own, all }: Branch): string {
  if (all.pieces === 0) return piecesText(0)
  const told = { pieces: piecesText(own.pieces), fates: fatesText(all) }
  return own.pieces === all.pieces ? t('lineage.tree.own', told) : t('lineage.tree.withAll', { ...told, all: number(all.pieces) })
}

/** The first sentence of a family. */
export function ledText(name: string, { below, deep }: Member, cuts: number): string {
  if (below.pieces === 0) return t('lineage.family.none', { name })
  const generations = t('lineage.family.generations', { count: deep })
  const led = t('lineage.family.led', { name, count: below.pieces, generations, cuts: cutsText(cuts) })
  return `${led} ${t('lineage.family.ofThese', { fates: fatesText(below) })}`
}

/** '3: 2 added to a colony that counts as 1'. */
export function countedText({ number: counted }: PieceView): string {
  const { base, plus } = counted
  if (base === null && plus === 0) return t('lineage.focus.notCounted')
  const text = numberText(counted)
  if (base === null) return t('lineage.focus.countedUnknown', { number: text, plus })
  return t('lineage.focus.counted', { number: text, plus, base })
}

export function codeText(piece: PieceView | null): string {
  return piece?.code == null ? t('stock.noCode') : display(piece.code)
}
