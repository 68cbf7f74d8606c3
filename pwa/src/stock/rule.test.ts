import { beforeAll, describe, expect, it } from 'vitest'
import type { BodyOf } from '../records/kinds.ts'
import { begin, check, glue, id, PIECE } from '../sync/trial.ts'
import type { AnyDraft, PieceRecord, WholePiece } from '../sync/views.ts'
import { judge, looksOf, proposals, ruleOf, type Look, type Rule } from './rule.ts'
import { missingWords, ruleText } from './rule-words.ts'
import { moreWords } from '../words/index.ts'
import type { Item } from './lists.ts'

beforeAll(moreWords)

const RULE: Rule = { mouth: 'open', encrustation: 4, recession: 'none', signs: ['algae'], checks: 2 }
const GOOD: Look = { mouth: 'open', encrustation: 4, recession: 'none' }
const far = (rule: Rule, ...looks: Look[]) => {
  const judged = judge(rule, looks)
  return judged.met ? 'met' : missingWords(judged, 'massive')
}

describe('the rule of a species', () => {
  it('is none where nothing is asked, and reads what is', () => {
    expect([ruleOf({}, 'sale'), ruleOf({ sale_checks: 2, sale_signs: ['algae'] }, 'sale')]).toEqual([null, null])
    expect(ruleOf({ sale_mouth: 'none', sale_encrustation: 0, sale_recession: 'more' }, 'sale')).toBeNull()
    const fields = { sale_mouth: 'open', sale_encrustation: 4, sale_recession: 'none', sale_signs: ['algae'], sale_checks: 2 }
    expect(ruleOf(fields, 'sale')).toEqual(RULE)
    expect(ruleOf(fields, 'cut')).toBeNull()
    const odd = ruleOf({ cut_mouth: 'wide', cut_encrustation: 3, cut_checks: 0, cut_signs: 'algae' }, 'cut')
    expect(odd).toEqual({ mouth: null, encrustation: 3, recession: null, signs: [], checks: 1 })
  })

  it('is said in a sentence', () => {
    expect(ruleText(RULE, 'single')).toBe('mouth open, all covered, no recession, without algae, twice in a row')
    expect(ruleText({ ...RULE, mouth: null, signs: [], checks: 3 }, 'branching')).toBe('cut face all closed, no recession, 3 times in a row')
    expect([ruleText(null, 'single'), ruleText({ ...RULE, encrustation: null, recession: null, signs: [], checks: 1 }, 'single')]).toEqual([
      'nothing is proposed', 'mouth open, at one check',
    ])
  })

  it('is met by as many looks in a row as it asks for, each seeing all of it', () => {
    expect(far(RULE)).toBe('not checked yet')
    expect(far(RULE, GOOD)).toBe('first of 2 checks in a row')
    expect(far(RULE, GOOD, { ...GOOD, mouth: 'feeding' })).toBe('met')
    expect(far({ ...RULE, checks: 3 }, GOOD, GOOD)).toBe('2 of 3 checks in a row')
    expect(far(RULE, GOOD, { ...GOOD, encrustation: 3 }, GOOD)).toBe('first of 2 checks in a row')
  })

  it('says what the last look lacked', () => {
    expect(far(RULE, { ...GOOD, encrustation: 3 })).toBe('base covered most; asked: all')
    expect(far(RULE, { ...GOOD, mouth: 'bud', recession: 'rim' })).toBe('mouth bud; asked: open; recession rim; asked: none at most')
    expect(far(RULE, GOOD, { ...GOOD, signs: ['algae', 'loose'] })).toBe('algae at the last check')
    expect(far(RULE, { ...GOOD, signs: ['loose'] }, GOOD)).toBe('met')
  })

  it('takes what was not looked at neither as met nor as failed', () => {
    const part = { mouth: 'open', recession: 'none' } as const
    expect(far(RULE, part, part)).toBe('base covered not looked at; asked: all')
    // Known from earlier in the same run, how much is covered is carried.
    expect(far(RULE, GOOD, part)).toBe('met')
    // What speaks against the rule ends the run, and with it what was known of the base.
    expect(far(RULE, GOOD, { recession: 'quarter' }, part, part)).toBe('base covered not looked at; asked: all')
    expect(far(RULE, GOOD, { encrustation: 4, recession: 'none' })).toBe('first of 2 checks in a row; mouth not looked at; asked: open')
    expect(far(RULE, GOOD, { expansion: 'half' }, GOOD)).toBe('met')
    // Nothing that is asked was seen: such a look is no second one.
    const cover: Rule = { ...RULE, mouth: null, recession: null }
    expect(far(cover, { encrustation: 4 }, { mouth: 'open' })).toBe('first of 2 checks in a row')
  })

  it('with the lights on, no feeding seen says nothing about feeding', () => {
    const feeding: Rule = { ...RULE, mouth: 'feeding', encrustation: null, recession: null, signs: [] }
    const open = { mouth: 'open' } as const
    expect(far(feeding, { ...open, lights: 'on' })).toBe('feeding is told only with the lights off')
    expect(far(feeding, open)).toBe('feeding is told only with the lights off')
    expect(far(feeding, { mouth: 'feeding' }, { ...open, lights: 'on' }, { mouth: 'feeding', lights: 'off' })).toBe('met')
    expect(far(feeding, { mouth: 'feeding' }, { ...open, lights: 'off' }, { mouth: 'feeding' })).toBe('first of 2 checks in a row')
    expect(far(feeding, { mouth: 'bud', lights: 'on' })).toBe('mouth bud; asked: feeding')
  })
})

const DAY = 24 * 3_600_000
const record = (number: number, kind: string, body: object, fate: Partial<PieceRecord> = {}): PieceRecord =>
  ({ at: number * DAY, sent: 'sent', retracted: false, record: { id: id(number), kind, subject: { kind: 'piece', id: PIECE }, body }, ...fate }) as PieceRecord

describe('a piece’s own looks', () => {
  it('are no sweeps, nothing taken back or refused, nothing from before it was glued or cut', () => {
    const look = (number: number, body: BodyOf<'check'>, fate?: Partial<PieceRecord>) => record(number, 'check', body, fate)
    const records = [
      look(1, { mouth: 'none' }), record(2, 'glue', {}), look(3, { mouth: 'bud' }), look(4, { swept: true }),
      look(5, { mouth: 'open' }, { retracted: true }), look(6, { mouth: 'open' }, { sent: 'refused' }),
      look(7, { mouth: 'feeding' }, { sent: 'waiting' }),
    ]
    expect(looksOf(records, id(2))).toEqual([{ mouth: 'bud' }, { mouth: 'feeding' }])
    expect(looksOf([...records, record(8, 'cut', {}), look(9, GOOD)], id(2))).toEqual([GOOD])
    expect(looksOf([...records, record(8, 'cut', {}, { retracted: true }), look(9, GOOD)], id(2))).toHaveLength(3)
  })
})

describe('looks of one visit', () => {
  const seen = (hours: number, body: BodyOf<'check'>): PieceRecord => ({ ...record(hours + 1, 'check', body), at: hours * 3_600_000 })

  it('are one look: two taps in a minute are no two checks in a row', () => {
    const twice = looksOf([seen(0, GOOD), seen(1, GOOD)], null)
    expect([twice, far(RULE, ...twice)]).toEqual([[GOOD], 'first of 2 checks in a row'])
    expect(looksOf([seen(0, GOOD), seen(12, GOOD)], null)).toHaveLength(2)
    // Twelve hours from the first of them: a chain of looks is not one for ever.
    expect(looksOf([seen(0, GOOD), seen(8, GOOD), seen(16, GOOD)], null)).toHaveLength(2)
  })

  it('add up: the evening to the day, and no later look in the light takes feeding away', () => {
    const day = { encrustation: 4, mouth: 'open', lights: 'on' } as const
    const night = { mouth: 'feeding', lights: 'off' } as const
    expect(looksOf([seen(0, day), seen(8, night)], null)).toEqual([{ encrustation: 4, ...night }])
    expect(looksOf([seen(0, night), seen(8, day)], null)).toEqual([{ encrustation: 4, ...night }])
    expect(looksOf([seen(0, { mouth: 'bud' }), seen(1, { mouth: 'open' })], null)).toEqual([{ mouth: 'open' }])
  })
})

const species = (fields: Item['fields']): Item => ({ id: 'species.x', list: 'species', fields, retired: false, tank: null, at: 0 })
const ENDS = species({ sale_encrustation: 2, sale_checks: 1, cut_encrustation: 4, cut_checks: 1 })
const ready = (endpoint: 'sale' | 'cut'): AnyDraft => ({ kind: 'ready', subject: { kind: 'piece', id: PIECE }, body: { for: endpoint } })

describe('what is proposed', () => {
  it('is asked for each readiness that is not recorded yet, and never of a piece that is lost', async () => {
    const { phone } = await begin()
    await phone.save(glue(), check(PIECE, { encrustation: 3 }))
    const told = async () => proposals((await phone.piece(PIECE)) as WholePiece, ENDS).map(({ endpoint, met }) => [endpoint, met])
    expect(await told()).toEqual([['sale', true], ['cut', false]])
    const [made] = await phone.save(ready('sale'))
    expect(await told()).toEqual([['cut', false]])
    await phone.save({ kind: 'retract', subject: { kind: 'record', id: made?.id ?? '' }, body: { why: 'too early' } })
    expect(await told()).toEqual([['sale', true], ['cut', false]])
    expect(proposals((await phone.piece(PIECE)) as WholePiece, undefined)).toEqual([])
    await phone.save({ kind: 'loss', subject: { kind: 'piece', id: PIECE }, body: { how: 'dead' } })
    expect(await told()).toEqual([])
  })

  it('is never recorded by itself, and changing the rule changes no state and no record', async () => {
    const { phone, server } = await begin()
    const define = (fields: Item['fields']): AnyDraft => ({ kind: 'define', subject: { kind: 'item', id: 'species.x' }, body: { list: 'species', fields } })
    const mother = id(0xa002)
    await phone.save(
      define({ name: 'X', sale_encrustation: 2 }),
      { kind: 'arrival', subject: { kind: 'piece', id: mother }, body: { line: 'Amber', species: 'species.x', origin: 'wild' } },
      { kind: 'cut', subject: { kind: 'cut', id: id(0xc001) }, body: { sitting: id(1), mother, method: 'method.a' } },
      glue(), check(PIECE, { encrustation: 4, mouth: 'open' }),
    )
    const before = await phone.piece(PIECE)
    expect([before?.species, before?.state.ready_sale, before?.state.stage]).toEqual(['species.x', null, 'healing'])
    const changes: Item['fields'][] = [{ sale_encrustation: 4, sale_mouth: 'feeding' }, { sale_encrustation: null }, { cut_encrustation: 1 }]
    for (const fields of changes) {
      await phone.save(define(fields))
      await phone.round()
      const after = await phone.piece(PIECE)
      expect([after?.state, after?.records.map(({ record }) => record.id)]).toEqual([before?.state, before?.records.map(({ record }) => record.id)])
    }
    expect(server.log.filter(({ record }) => record.kind === 'ready')).toEqual([])
  })
})
