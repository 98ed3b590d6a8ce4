// What accessible.py asks of a page. Put in by the debugger together with axe; nothing of it is in the product.
globalThis.checks = (() => {
  const CONTROLS = 'a[href], button, input, select, textarea, summary, [role="button"], [role="tab"], [tabindex="0"]';
  const openSheet = () => [...document.querySelectorAll('dialog[open]')].at(-1);
  const isSeen = (e) => e.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const wordsOf = (e) =>
    (e.getAttribute('aria-label') ?? e.labels?.[0]?.textContent ?? e.textContent ?? '').trim().slice(0, 40);

  /** What axe finds wrong in a part of the page; `runOnly` says which rules. */
  async function axeFindings(part, runOnly) {
    const { violations } = await axe.run(part, { runOnly, resultTypes: ['violations'], preload: false });
    const why = (node) => (node.failureSummary ?? '').split('\n').slice(1).join('; ').trim();
    return violations.flatMap(({ id, nodes }) =>
      nodes.map((node) => `${id}: ${node.target.join(' ')} (${why(node)})`),
    );
  }

  const looked = new Set(); // colours that were asked about before

  /** What lies under an element's words: every coat of paint around it, and what stands out of the flow. */
  function groundOf(e, known) {
    if (!e) return '';
    if (!known.has(e)) {
      const { backgroundColor, backgroundImage, opacity, filter, position } = getComputedStyle(e);
      const coat = [backgroundColor, backgroundImage, opacity, filter].join();
      const own = coat === 'rgba(0, 0, 0, 0),none,1,none' ? '' : `>${coat}`;
      const out = /static|relative/.test(position) ? '' : `>${e.tagName}.${e.getAttribute('class')}`;
      known.set(e, groundOf(e.parentElement, known) + own + out);
    }
    return known.get(e);
  }

  /** Elements with words, one of each kind that nobody has looked at in these colours: hundreds of rows are alike. */
  function newlyColoured(root) {
    const known = new Map();
    return [...root.querySelectorAll('*')].filter((e) => {
      const hasText = [...e.childNodes].some((node) => node.nodeType === 3 && node.data.trim());
      if (!(hasText || e.matches('input, select, textarea')) || !isSeen(e)) return false;
      const { color, fontSize, fontWeight } = getComputedStyle(e);
      const inSketch = e.closest('svg') ? e.outerHTML : ''; // there anything may lie under anything
      const all = [e.tagName, color, fontSize, fontWeight, e.matches(':disabled'), groundOf(e, known), inSketch].join();
      return !looked.has(all) && looked.add(all);
    });
  }

  /** Everything that is wrong with what is on the screen now, in both looks and at twice the text size. */
  async function faults({ looks, tags, colourRules, least }) {
    const page = document.documentElement;
    const part = openSheet() ?? document; // what lies behind an open sheet was looked at without it
    page.dataset.look = looks[0];
    const found = await axeFindings(part, { type: 'tag', values: tags });
    found.push(...smallTargets(least), ...stillMoving());
    page.dataset.look = looks[1];
    const fresh = newlyColoured(part);
    const colours = fresh.length ? await axeFindings({ include: fresh }, { type: 'rule', values: colourRules }) : [];
    page.style.fontSize = '200%'; // as a phone does whose person wants larger text: all is measured by the root's size
    await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))); // drawings take their new width
    const wide = tooWide();
    page.style.fontSize = '100%';
    return [
      ...found,
      ...colours.map((one) => `${looks[1]} look, ${one}`),
      ...wide.map((one) => `at twice the text size, ${one}`),
    ];
  }

  /** The box in which a finger finds a control: its label's, if that is the larger one. */
  function boxOf(e) {
    const own = e.getBoundingClientRect();
    const label = e.labels?.[0] ?? e.closest('label');
    if (!label) return own;
    const whole = label.getBoundingClientRect();
    return whole.width * whole.height > own.width * own.height ? whole : own;
  }

  function isExempt(e) {
    if (e.closest('svg') || e.disabled || e.type === 'hidden' || e.closest('[inert]')) return true;
    if (e.matches('.only-heard') && e.tabIndex < 0) return true; // a button beside it opens it
    if (!e.labels?.length && !isSeen(e)) return true;
    if (e.classList.contains('skip') && e !== document.activeElement) return true;
    return e.tagName === 'A' && getComputedStyle(e).display === 'inline'; // a link within a sentence
  }

  function smallTargets(least) {
    return [...(openSheet() ?? document).querySelectorAll(CONTROLS)].flatMap((e) => {
      const { width, height } = boxOf(e);
      if (isExempt(e) || width === 0 || (width >= least - 0.5 && height >= least - 0.5)) return [];
      const size = `${width.toFixed(0)}x${height.toFixed(0)}`;
      return [`${e.tagName.toLowerCase()}.${e.className} "${wordsOf(e)}" is ${size}`];
    });
  }

  /** Whether it lies in something that a finger can push sideways: a wide table, a sketch. */
  function canBePushed(e) {
    for (let up = e; up && up !== document.body; up = up.parentElement) {
      if (up.tagName !== 'DIALOG' && /auto|scroll/.test(getComputedStyle(up).overflowX)) return true;
    }
    return false;
  }

  function isCutOff(e) {
    const style = getComputedStyle(e);
    const hides = /hidden|clip/.test(style.overflowX) && style.clipPath === 'none';
    return hides && e.scrollWidth > e.clientWidth + 1 && !e.matches('input, select');
  }

  function tooWide() {
    // Not innerWidth: a phone zooms out from a page that is too wide, and then says that it fits.
    const wide = document.documentElement.clientWidth;
    const page = document.scrollingElement.scrollWidth;
    const found = page > wide + 1 ? [`the page is ${page} px wide`] : [];
    for (const e of (openSheet() ?? document.body).querySelectorAll('*')) {
      if (e.closest('svg') || e.closest('.only-heard') || !isSeen(e)) continue;
      const hasText = [...e.childNodes].some((node) => node.nodeType === 3 && node.data.trim());
      if (!hasText && !e.matches('input, select, button')) continue;
      const { left, right, width } = e.getBoundingClientRect();
      const outside = width > 0 && (right > wide + 1 || left < -1);
      const at = `from ${left.toFixed(0)} to ${right.toFixed(0)}`;
      if (outside && !canBePushed(e)) found.push(`"${wordsOf(e)}" goes ${at}`);
      if (isCutOff(e)) found.push(`"${wordsOf(e)}" is cut off`);
    }
    return [...new Set(found)];
  }

  function stillMoving() {
    return document
      .getAnimations()
      .filter((one) => one.playState === 'running' && (one.effect?.getComputedTiming().duration ?? 0) > 20)
      .map((one) => `${one.animationName ?? one.transitionProperty ?? 'something'} moves though rest was asked for`);
  }

  /** How many controls Tab should come past: one of the radio buttons of a group, nothing that is switched off. */
  function countControls() {
    const groups = new Set();
    return [...document.querySelectorAll(CONTROLS)].filter((e) => {
      if (e.disabled || e.closest('fieldset:disabled') || e.tabIndex < 0 || e.closest('[inert]')) return false;
      if (!e.checkVisibility({ visibilityProperty: true })) return false;
      if (e.type !== 'radio') return true;
      if (groups.has(e.name)) return false;
      groups.add(e.name);
      return true;
    }).length;
  }

  const numbers = new WeakMap();
  let last = 0;

  /** What has the focus, and whether a person can see that. */
  function focused() {
    const e = document.activeElement;
    if (!e || e === document.body) return null;
    if (!numbers.has(e)) numbers.set(e, ++last);
    const shows = (one) => {
      const style = one && getComputedStyle(one);
      return style && ((style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2) || style.boxShadow !== 'none');
    };
    const byBrowser = !e.matches(':focus'); // the browser's own button within a field
    const shown = byBrowser || e.closest('svg') || [e, e.nextElementSibling, e.closest('label')].some(shows);
    const key = e.type === 'radio' ? `radio ${e.name}` : String(numbers.get(e));
    return { key, words: wordsOf(e), tag: e.tagName.toLowerCase(), shown: Boolean(shown) };
  }

  return { faults, tooWide, countControls, focused };
})();
