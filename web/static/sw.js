// The service worker of the bench.
