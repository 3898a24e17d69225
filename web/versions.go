package web

// versionRoutes are the tree of versions, comparing, copying, tags and the batch sheet.
func (a *App) versionRoutes() map[string]page { return map[string]page{} }
