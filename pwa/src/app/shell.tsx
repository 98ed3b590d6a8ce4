import { useSignal } from '@preact/signals';
import { Component, type ComponentChildren } from 'preact';
import { useEffect, useState } from 'preact/hooks';
import { Button, EmptyState, Notice, path } from '../parts';
import { saveTrouble } from '../storage';
import { storageWasCleared } from '../sync';
import { loadScreenTexts, t } from '../text';
import { BottomBar } from './bottom_bar';
import { type Found, openedScreen, openScreen, routeAt, type Screen } from './routes';
import { acceptUpdate, postponeUpdate, updateReady } from './update';

export function Shell() {
  const found = routeAt(path.value);
  return (
    <>
      <a class="skip" href="#page">
        {t('shell.skip')}
      </a>
      <TopNotices />
      <main id="page" tabIndex={-1}>
        <Mishap key={path.value}>{found ? <Place found={found} /> : <Rare what="Missing" />}</Mishap>
      </main>
      {!found?.route.bare && <BottomBar tab={found?.route.tab} />}
      <Keys />
    </>
  );
}

/** The keys of a laptop: their code comes with the first one that is pressed. */
function Keys() {
  const [first, setFirst] = useState<{ event: KeyboardEvent; module: typeof import('./keyboard') }>();
  useEffect(() => {
    const wake = (event: KeyboardEvent): void => {
      Promise.all([import('./keyboard'), loadScreenTexts()]).then(
        ([module]) => setFirst({ event, module }),
        () => addEventListener('keydown', wake, { once: true }),
      );
    };
    addEventListener('keydown', wake, { once: true });
  }, []);
  return first ? <first.module.Keyboard first={first.event} /> : null;
}

/** Draws the screen of a route, fetching its code the first time (from the phone's own store when offline). */
function Place({ found }: { found: Found }) {
  const name = found.route.screen;
  const screen = useSignal<Screen | undefined>(openedScreen(name));
  const failed = useSignal(false);
  useEffect(() => {
    if (screen.value) return;
    openScreen(name).then(
      (opened) => {
        screen.value = opened;
      },
      () => {
        failed.value = true;
      },
    );
  }, []);
  if (failed.value) return <Broken />;
  const Drawn = screen.value;
  if (!Drawn) return <p class="only-heard">{t('shell.loading')}</p>;
  return <Drawn params={found.params} />;
}

/** Whatever must be seen on every screen: a record that was not saved, an emptied phone, a newer version. */
function TopNotices() {
  const trouble = saveTrouble.value;
  return (
    <div class="top-notices">
      {trouble && (
        <Notice tone="bad" live>
          <strong>{t('shell.not_saved')}.</strong> {trouble.words}
        </Notice>
      )}
      {storageWasCleared.value && <Rare what="Emptied" />}
      {updateReady.value && (
        <Notice
          tone="glow"
          live
          action={
            <>
              <Button kind="quiet" onClick={postponeUpdate}>
                {t('shell.update_later')}
              </Button>
              <Button kind="main" onClick={acceptUpdate}>
                {t('shell.update_now')}
              </Button>
            </>
          }
        >
          {t('shell.update_ready')}
        </Notice>
      )}
    </div>
  );
}

/** Part of the frame that comes when it is needed (rare.tsx). */
function Rare({ what }: { what: 'Emptied' | 'Missing' }) {
  const [late, setLate] = useState<typeof import('./rare')>();
  useEffect(() => {
    Promise.all([import('./rare'), loadScreenTexts()]).then(
      ([module]) => setLate(module),
      () => undefined,
    );
  }, []);
  const Drawn = late?.[what];
  return Drawn ? <Drawn /> : null;
}

function Broken() {
  return (
    <div class="page">
      <EmptyState
        whole
        title={t('shell.broken_title')}
        action={
          <Button kind="main" onClick={() => location.reload()}>
            {t('shell.reload')}
          </Button>
        }
      >
        {t('shell.broken_text')}
      </EmptyState>
    </div>
  );
}

/** A screen that throws while drawing must not take the bar and the other screens with it. */
class Mishap extends Component<{ children: ComponentChildren }, { broken: boolean }> {
  override state = { broken: false };

  static override getDerivedStateFromError(): { broken: boolean } {
    return { broken: true };
  }

  override render() {
    return this.state.broken ? <Broken /> : this.props.children;
  }
}
