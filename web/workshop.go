package web

// workshopRoutes are stock, moulds, places, scales, materials and the workshop itself.
func (a *App) workshopRoutes() map[string]page { return map[string]page{} }
