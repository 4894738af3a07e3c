package workshop

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/page"
	"arctally/report/sheet"
)

// What was found of a box for one record is offered for the next, taken over with a
// reference by who touches it, and not offered twice.
func TestServe_TakeOver(t *testing.T) {
	s := turnSite(t, boxSpeed)
	s.ask(http.MethodPost, "/checks/first", http.StatusCreated, page.CheckRequest{Job: "job", Kind: "zero", Live: true, For: "1 s", Values: map[string]string{"channel": "voltage"}}, nil)
	var list sheet.OfferList
	s.ask(http.MethodGet, "/checks/second/offers", http.StatusOK, nil, &list)
	require.Len(t, list.Offers, 1)
	assert.Equal(t, "VSB-1", list.Offers[0].Check.Box, "the box said who it is")
	take := page.TakeOverRequest{Job: "job", From: list.Offers[0].From, Number: 1, By: "Fitter 2"}
	var done page.CheckDone
	s.ask(http.MethodPost, "/checks/second/offers", http.StatusCreated, take, &done)
	assert.Contains(t, done.Text, "taken over from check 1 of first.arctally")
	var kept sheet.CheckList
	s.ask(http.MethodGet, "/checks/second", http.StatusOK, nil, &kept)
	require.Len(t, kept.Checks, 1)
	assert.Equal(t, "Fitter 2", kept.Checks[0].TakenOver.By)
	told := s.refused(http.MethodPost, "/checks/second/offers", http.StatusConflict, take)
	assert.Contains(t, told.Error, "is on record here")
	s.ask(http.MethodGet, "/checks/second/offers", http.StatusOK, nil, &list)
	assert.Empty(t, list.Offers)
	take.From = "../first.arctally"
	s.refused(http.MethodPost, "/checks/third/offers", http.StatusNotFound, take)
}
