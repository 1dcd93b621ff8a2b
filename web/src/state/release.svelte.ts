/** A newer release of the client: it waits until a person says so, since nothing is to change under a walk. */

const LOOKED_FOR_EVERY_MS = 3_600_000;

class Release {
  /** Whether a newer one waits. */
  isWaiting = $state(false);
  #registration: ServiceWorkerRegistration | null = null;
  #isOurs = false;

  /** Keep the client on this device, and look now and then whether there is a newer one. */
  async start(): Promise<void> {
    if (!("serviceWorker" in navigator)) return;
    const before = navigator.serviceWorker.controller;
    navigator.serviceWorker.addEventListener("controllerchange", () => {
      // The first one takes a page over that is as new as itself.
      if (before !== null || this.#isOurs) location.reload();
    });
    const registration = await navigator.serviceWorker.register("/sw.js");
    this.#registration = registration;
    this.#look(registration);
    registration.addEventListener("updatefound", () => {
      const next = registration.installing;
      next?.addEventListener("statechange", () => this.#look(registration));
    });
    // Without signal there is nothing to find.
    setInterval(() => void registration.update().catch(() => undefined), LOOKED_FOR_EVERY_MS);
  }

  /** Change to the newer one; every page of this browser opens again. */
  takeOver(): void {
    this.#isOurs = true;
    this.#registration?.waiting?.postMessage("take over");
  }

  #look(registration: ServiceWorkerRegistration): void {
    this.isWaiting = registration.waiting !== null && registration.active !== null;
  }
}

export const release = new Release();
