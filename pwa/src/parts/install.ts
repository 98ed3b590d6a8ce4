import { signal } from '@preact/signals';

/** A browser that offers to install says so once, early; the offer is kept until somebody asks for it. */
export interface InstallOffer extends Event {
  prompt(): Promise<unknown>;
}

export const installOffer = signal<InstallOffer | undefined>(undefined);

export function keepInstallOffer(): void {
  addEventListener('beforeinstallprompt', (event) => {
    // The browser's own bar would come in the middle of a round.
    event.preventDefault();
    installOffer.value = event as InstallOffer;
  });
  addEventListener('appinstalled', () => {
    installOffer.value = undefined;
  });
}
