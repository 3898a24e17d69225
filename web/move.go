package web

// moveRoutes are what comes in and goes out as files.
func (a *App) moveRoutes() map[string]page {
	return map[string]page{
		"GET /import":  a.importPage,
		"POST /import": a.importFiles,
		"GET /export":  a.export,
	}
}
