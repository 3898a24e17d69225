package web

import (
	"context"
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"barwright/material"
)

// What a thing must not have in common with another one.

// checkOthers adds to faults what another thing has already. People choose by
// name, so two of one name could not be told apart; recipes name by id.
func (a *App) checkOthers(ctx context.Context, k *thingKind, made written, isNew bool, faults map[string]string) error {
	if k.kind == kindMaterial {
		return a.checkMaterialID(ctx, made, isNew, faults)
	}
	others, err := a.store.Things(ctx, k.kind)
	if err != nil || made.name == "" {
		return err
	}
	for _, t := range others {
		var other struct {
			Name string `toml:"name"`
			Of   string `toml:"of"`
		}
		if err := toml.Unmarshal([]byte(t.Body), &other); err != nil {
			return err
		}
		if t.ID != made.id && strings.EqualFold(other.Name, made.name) && other.Of == made.of {
			faults["name"] = fmt.Sprintf("another %s is called so: give this one a name of its own", k.one)
		}
	}
	return nil
}

// checkMaterialID looks for another material file, or a lot, of the same id,
// and for another material of the same name.
func (a *App) checkMaterialID(ctx context.Context, made written, isNew bool, faults map[string]string) error {
	if _, err := a.store.Thing(ctx, kindMaterial, made.id); err == nil && isNew {
		faults[fileKey] = fmt.Sprintf("a material with the id %q is here already, or was put away: open that one and change it", made.id)
		return nil
	}
	if _, err := a.store.Thing(ctx, kindLot, made.id); err == nil {
		faults[fileKey] = fmt.Sprintf("a lot has the id %q: give the material another one", made.id)
		return nil
	}
	lib, _, err := a.materialLibrary(ctx, made.id)
	if err != nil {
		return err
	}
	for _, id := range lib.IDs() {
		if m, err := lib.Find(id); err == nil && id != made.id && strings.EqualFold(m.Name, made.name) {
			faults[fileKey] = fmt.Sprintf("another material, %q, is called %.80q: give this one a name of its own", id, m.Name)
		}
	}
	return nil
}

// freeID makes an id of a name that no thing of the kind and no material has.
func (a *App) freeID(ctx context.Context, kind, name string) (string, error) {
	lib, err := a.library(ctx)
	if err != nil {
		return "", err
	}
	name = cutTo(strings.TrimSpace(name), 40)
	base := strings.ReplaceAll(fileName(name), "-", "_")
	if base == fileName("") && !strings.EqualFold(name, base) { // a name without a letter of the Latin alphabet
		base = kind
	}
	for n := 1; ; n++ {
		id := base
		if n > 1 {
			id = fmt.Sprintf("%s_%d", base, n)
		}
		if !a.taken(ctx, kind, id, lib) {
			return id, nil
		}
	}
}

func (a *App) taken(ctx context.Context, kind, id string, lib *material.Library) bool {
	if id == "new" { // the address of a new one
		return true
	}
	kinds := []string{kind}
	if kind == kindLot { // recipes name lots as they name materials
		kinds = append(kinds, kindMaterial)
		if _, err := lib.Find(id); err == nil {
			return true
		}
	}
	for _, k := range kinds {
		if _, err := a.store.Thing(ctx, k, id); err == nil { // put away or not
			return true
		}
	}
	return false
}
