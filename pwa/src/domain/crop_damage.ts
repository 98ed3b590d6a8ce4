/**
 * At what air temperature does frost start to hurt a crop? The server's table and its matching of names
 * (core/agronomy/frost/crop_damage.py), for when there is no network.
 *
 * Ranges: Table 2 of PubMed Central PMC10202904; tropical crops: Snyder & de Melo-Abreu 2005, Frost protection,
 * FAO, ch. 4; half-hardy and hardy: extension lists (University of Illinois VC 14).
 */

/** Where harm may start, and where it is bad [°C]. */
type Harm = readonly [warm: number, cold: number];
type Row = {
  name: string;
  aliases: string[];
  harm: Harm;
  blossom?: Harm;
  head?: Harm;
  /** Sown under glass and planted out later. */
  indoors?: boolean;
};

const TROPICAL: Harm = [0, 0];
const VERY: Harm = [0, -2];
const SENSITIVE: Harm = [-2, -4];
const MODERATE: Harm = [-4, -7];
const REASONABLE: Harm = [-7, -10];
const HALF_HARDY: Harm = [(28 - 32) / 1.8, (28 - 32) / 1.8];
const HARDY: Harm = [(25 - 32) / 1.8, (25 - 32) / 1.8];

const CROPS: readonly Row[] = [
  { name: 'tomato', aliases: ['tomato'], harm: TROPICAL, indoors: true },
  { name: 'cucumber', aliases: ['cucumber', 'gherkin'], harm: TROPICAL, indoors: true },
  {
    name: 'pepper',
    aliases: ['pepper', 'chilli', 'chili', 'sweet pepper', 'capsicum'],
    harm: TROPICAL,
    indoors: true,
  },
  { name: 'aubergine', aliases: ['aubergine', 'eggplant'], harm: TROPICAL, indoors: true },
  { name: 'courgette', aliases: ['courgette', 'zucchini', 'marrow'], harm: TROPICAL, indoors: true },
  { name: 'squash', aliases: ['squash', 'pumpkin', 'butternut', 'gourd'], harm: TROPICAL, indoors: true },
  { name: 'basil', aliases: ['basil'], harm: TROPICAL, indoors: true },
  { name: 'sweet potato', aliases: ['sweet potato'], harm: TROPICAL, indoors: true },
  { name: 'okra', aliases: ['okra'], harm: TROPICAL, indoors: true },
  { name: 'potato', aliases: ['potato', 'early potato', 'spud'], harm: VERY },
  {
    name: 'bean',
    aliases: ['bean', 'french bean', 'runner bean', 'dwarf bean', 'green bean', 'climbing bean'],
    harm: VERY,
  },
  { name: 'maize', aliases: ['maize', 'sweetcorn', 'sweet corn', 'corn'], harm: VERY },
  { name: 'melon', aliases: ['melon', 'watermelon'], harm: VERY, indoors: true },
  { name: 'strawberry', aliases: ['strawberry'], harm: MODERATE, blossom: SENSITIVE },
  {
    name: 'fruit blossom',
    aliases: ['apple', 'pear', 'plum', 'cherry', 'peach'],
    harm: REASONABLE,
    blossom: SENSITIVE,
  },
  { name: 'lettuce', aliases: ['lettuce', 'salad'], harm: SENSITIVE, indoors: true },
  { name: 'pea', aliases: ['pea', 'mangetout', 'sugar snap'], harm: SENSITIVE },
  { name: 'asparagus', aliases: ['asparagus'], harm: SENSITIVE },
  { name: 'chard', aliases: ['chard', 'swiss chard', 'leaf beet'], harm: HALF_HARDY },
  { name: 'celery', aliases: ['celery', 'celeriac'], harm: HALF_HARDY, indoors: true },
  { name: 'endive', aliases: ['endive', 'chicory', 'radicchio'], harm: HALF_HARDY, indoors: true },
  {
    name: 'chinese cabbage',
    aliases: ['chinese cabbage', 'pak choi', 'bok choy', 'pak choy'],
    harm: HALF_HARDY,
    indoors: true,
  },
  { name: 'fennel', aliases: ['fennel', 'florence fennel'], harm: HALF_HARDY },
  { name: 'radish', aliases: ['radish', 'mooli'], harm: HARDY },
  { name: 'turnip', aliases: ['turnip'], harm: HARDY },
  { name: 'leek', aliases: ['leek'], harm: HARDY, indoors: true },
  {
    name: 'brussels sprout',
    aliases: ['brussels sprout', 'brussel sprout', 'sprout'],
    harm: HARDY,
    indoors: true,
  },
  { name: 'kohlrabi', aliases: ['kohlrabi'], harm: HARDY, indoors: true },
  { name: 'parsley', aliases: ['parsley'], harm: HARDY, indoors: true },
  { name: 'mustard', aliases: ['mustard', 'rocket', 'mizuna'], harm: HARDY },
  { name: 'cauliflower', aliases: ['cauliflower'], harm: MODERATE, head: SENSITIVE, indoors: true },
  {
    name: 'broccoli',
    aliases: ['broccoli', 'calabrese', 'sprouting broccoli'],
    harm: MODERATE,
    head: SENSITIVE,
    indoors: true,
  },
  { name: 'cabbage', aliases: ['cabbage', 'white cabbage', 'spring cabbage'], harm: MODERATE, indoors: true },
  { name: 'kale', aliases: ['kale', 'cavolo nero', 'collard'], harm: MODERATE, indoors: true },
  { name: 'beetroot', aliases: ['beetroot', 'beet', 'fodder beet', 'sugar beet'], harm: MODERATE },
  { name: 'onion', aliases: ['onion', 'shallot', 'garlic', 'spring onion'], harm: MODERATE },
  { name: 'swede', aliases: ['swede', 'rutabaga'], harm: MODERATE },
  { name: 'carrot', aliases: ['carrot'], harm: MODERATE },
  { name: 'parsnip', aliases: ['parsnip'], harm: MODERATE },
  { name: 'winter lettuce', aliases: ['winter lettuce'], harm: MODERATE, indoors: true },
  { name: 'savoy', aliases: ['savoy', 'savoy cabbage'], harm: REASONABLE, indoors: true },
  { name: 'spinach', aliases: ['spinach'], harm: REASONABLE },
  { name: 'broad bean', aliases: ['broad bean', 'field bean', 'winter bean', 'fava bean'], harm: REASONABLE },
];
const STAGES = {
  blossom: ['flower', 'flowering', 'blossom', 'bloom', 'bud'],
  head: ['curd', 'spear', 'head', 'heading', 'floret'],
} as const;

export type CropDamage = {
  /** The row it was matched with; null when none fits. */
  crop: string | null;
  /** Air temperature below which harm may start [°C]; null when the crop is not known. */
  critical_c: number | null;
  raised_indoors: boolean;
};

/** Names by which a crop is known here, for offering while one is typed. */
export function cropNames(): string[] {
  return CROPS.flatMap((row) => row.aliases).sort();
}

/** The longest name that occurs word for word wins; of two as long the more tender. */
export function cropDamage(kind: string, stage?: string | null, hardened = false): CropDamage {
  const words = wordsOf(kind);
  let best: { row: Row; words: number; length: number } | undefined;
  for (const row of CROPS) {
    for (const alias of row.aliases) {
      const wanted = wordsOf(alias);
      if (!occurs(wanted, words)) continue;
      const longer =
        !best || wanted.length > best.words || (wanted.length === best.words && alias.length > best.length);
      if (longer) best = { row, words: wanted.length, length: alias.length };
    }
  }
  if (!best) return { crop: null, critical_c: null, raised_indoors: false };
  const { row } = best;
  const named = stage ? wordsOf(stage) : [];
  const at = (['blossom', 'head'] as const).find((one) => named.some((word) => isStage(one, word)));
  const [warm, cold] = (at && row[at]) ?? row.harm;
  return {
    crop: row.name,
    critical_c: hardened ? (warm + cold) / 2 : warm,
    raised_indoors: row.indoors ?? false,
  };
}

function isStage(stage: keyof typeof STAGES, word: string): boolean {
  return (STAGES[stage] as readonly string[]).includes(word);
}

function occurs(wanted: string[], words: string[]): boolean {
  return words.some((_, i) => wanted.every((word, j) => words[i + j] === word));
}

function wordsOf(text: string): string[] {
  return (text.toLowerCase().match(/[a-z]+/g) ?? []).map(singular);
}

function singular(word: string): string {
  if (word.endsWith('ies') && word.length > 4) return `${word.slice(0, -3)}y`;
  if (/(oes|shes|ches)$/.test(word)) return word.slice(0, -2);
  if (word.endsWith('s') && !/(ss|us)$/.test(word) && word.length > 3) return word.slice(0, -1);
  return word;
}
