window.SwaggerUIBundle({
  url: '/openapi.json',
  dom_id: '#reference',
  deepLinking: true,
  docExpansion: 'list',
  filter: true,
  defaultModelsExpandDepth: 0,
  displayRequestDuration: true,
  // Nothing leaves for elsewhere: no badge of an outside validator, no token kept after the page is closed.
  validatorUrl: null,
  persistAuthorization: false,
});
